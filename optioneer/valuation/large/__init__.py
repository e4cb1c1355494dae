"""Clusters with too many packages to value them all: a programme, and a list of candidates."""
