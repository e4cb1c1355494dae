"""Futures: the clock, what is drawn, and what can be known of it at each date."""
