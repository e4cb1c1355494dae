"""What one visitor has open, and what they wait for."""
