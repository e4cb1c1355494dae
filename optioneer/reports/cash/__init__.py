"""Pages of what leaves the bank."""
