"""Figures of samples: means with their errors, worth of knowing, shares of variance."""
