"""Workbooks that are written: to fill in, and with results."""
