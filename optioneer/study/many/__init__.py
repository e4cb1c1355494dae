"""What many cases come to, each changed in many ways."""
