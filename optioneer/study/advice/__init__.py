"""What to order, and how sure that is."""
