"""What to ask the dealer, and what he quoted."""
