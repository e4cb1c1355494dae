"""When to act on what waits: the conditions, in few thresholds, on which to fit it."""
