"""A case to start from, asked for on the first page."""
