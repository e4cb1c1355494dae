"""Whole cents: rounding once, and splits that always add up."""

import math
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

CENTS = 100


def to_cents(amount: float) -> int:
    """`amount` of money in whole cents, half a cent away from zero.

    The shortest decimal that stands for the float is rounded, so 1.005 is 101 cents.
    """
    scaled = Decimal(repr(float(amount))) * CENTS
    return int(scaled.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def rounded(cents: float) -> int:
    """A computed number of cents to the nearest whole one, half upwards."""
    return math.floor(cents + 0.5)


def split(total: int, shares: Sequence[float]) -> tuple[int, ...]:
    """`total` cents in parts of `shares`; the last part takes what rounding leaves.

    Examples
    --------
    >>> split(100, [1 / 3, 1 / 3, 1 / 3])
    (33, 33, 34)
    """
    parts = [rounded(total * share) for share in shares[:-1]]
    return (*parts, total - sum(parts))
