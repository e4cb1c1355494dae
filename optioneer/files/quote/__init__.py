"""A dealer's list of options taken in."""
