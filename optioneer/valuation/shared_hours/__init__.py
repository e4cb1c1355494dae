"""Clusters that share hours but stay apart: a price of an hour, and what is earned at it."""
