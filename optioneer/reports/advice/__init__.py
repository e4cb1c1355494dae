"""Pages of what to order, and of what would turn it."""
