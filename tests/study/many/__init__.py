"""Many cases, each changed in many ways."""
