"""What to ask, of whom, and how far to go: in words."""
