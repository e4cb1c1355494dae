"""Sums: futures, the lattice of packages, and what each package costs in each future. Arrays only."""
