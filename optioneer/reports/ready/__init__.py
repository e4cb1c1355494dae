"""Pages of the road to first chips."""
