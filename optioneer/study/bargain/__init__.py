"""What to ask the dealer for, and how far to go."""
