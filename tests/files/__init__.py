"""Text to facts and back."""
