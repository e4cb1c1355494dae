"""Commands that weigh many cases: their workers may be processes or a cluster."""
