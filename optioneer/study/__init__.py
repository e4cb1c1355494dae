"""Questions: one room for each that a person of the shop asks; facts in, answers out."""
