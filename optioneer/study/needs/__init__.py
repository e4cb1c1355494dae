"""What the machine asks of the place where it will stand, and what is there."""
