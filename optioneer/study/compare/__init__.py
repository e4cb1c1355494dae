"""Which of several packages, or of several dealers' quotes, is better."""
