"""What valuing a cluster gives apart from prices, kept by the content of what it reads."""
