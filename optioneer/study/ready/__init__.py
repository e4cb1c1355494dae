"""Whether the shop is ready, and when it cuts chips."""
