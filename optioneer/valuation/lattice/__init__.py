"""Every package of one cluster at once, swept backward and lived forward in time."""
