"""What if it comes otherwise."""
