"""What every package costs."""
