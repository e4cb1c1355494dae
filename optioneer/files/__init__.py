"""Text to facts and back: a case folder on disk."""
