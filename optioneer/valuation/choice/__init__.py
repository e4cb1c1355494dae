"""Choosing among packages that are valued: within limits, with caution, along a range."""
