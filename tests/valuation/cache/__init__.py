"""What is kept of clusters."""
