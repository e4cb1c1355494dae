"""A case folder read into a case, and written back."""
