"""Playing with what may come, as the page for the owner draws it."""
