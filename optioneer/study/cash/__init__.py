"""What leaves the bank, and when."""
