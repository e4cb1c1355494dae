"""Sums: futures, the lattice of packages, what each costs in each future. Arrays only."""
