"""Sums of the first weeks: coolant."""


def first_fill_l(sump_l: float, share: float) -> float:
    """Concentrate of the first fill [L]: sump * target concentration."""
    return sump_l * share
