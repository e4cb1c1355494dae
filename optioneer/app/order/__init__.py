"""What to order, as the first page draws it."""
