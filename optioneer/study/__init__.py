"""Questions: one module a question that a person asks; facts in, frozen answers out."""
