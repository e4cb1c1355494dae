"""What to ask next, and how answers become figures."""
