"""What facts must be to one another."""
