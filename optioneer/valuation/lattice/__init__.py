"""Every package of one cluster at once: what it costs, brings and can become at each date."""
