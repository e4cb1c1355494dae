"""Clusters with too many packages to value them all, searched."""
