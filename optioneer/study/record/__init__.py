"""What was decided, and what came of it."""
