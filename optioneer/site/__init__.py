"""Sums of the site: power, air, floor, moves and dates. Numbers and arrays only."""
