"""Text read with suspicion and written without loss, whatever stands in it."""
