"""Whole cents: rounding once, and splits that always add up.

A cent here is the smallest unit of the currency that is in use: a hundredth of a dollar, but a
whole yen, which has none smaller, and a thousandth of a Kuwaiti dinar.
"""

from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from functools import cache

from babel.numbers import get_currency_precision


@cache
def places(currency: str) -> int:
    """Decimal places of the amounts of a currency (ISO 4217 code).

    References
    ----------
    Unicode Common Locale Data Repository, supplemental data, currencyData, `digits`; it follows
    the minor units of ISO 4217 where these are in use.

    Examples
    --------
    >>> places("USD"), places("JPY"), places("KWD")
    (2, 0, 3)
    """
    return get_currency_precision(currency)


def to_cents(amount: float, currency: str) -> int:
    """`amount` of money in whole cents, half a cent away from zero.

    The shortest decimal that stands for the float is rounded, so 1.005 is 101 cents.

    Examples
    --------
    >>> to_cents(1.005, "USD"), to_cents(1200.0, "JPY"), to_cents(1.25, "KWD")
    (101, 1200, 1250)
    """
    scaled = Decimal(repr(float(amount))).scaleb(places(currency))
    return int(scaled.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def amount_of(cents: float, currency: str) -> float:
    """So many cents as an amount of money."""
    return float(cents) / 10.0 ** places(currency)


_NOISE = Decimal("1e-6")
"""What binary fractions may be off by in the sums of one case: a millionth of a cent."""


def rounded(cents: float | Decimal) -> int:
    """A computed number of cents to the nearest whole one, half a cent away from zero.

    What is within a millionth of a cent of a half is a half: 0.1 times 105 cents, 21 cents in two.

    Examples
    --------
    >>> rounded(10.5), rounded(0.07 * 1_850), rounded(-10.5), rounded(10.499)
    (11, 130, -11, 10)
    """
    exact = cents if isinstance(cents, Decimal) else Decimal(repr(float(cents)))
    clean = exact.quantize(_NOISE, rounding=ROUND_HALF_EVEN)
    return int(clean.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def share_in_cents(cents: int, share: float) -> int:
    """A share of so many cents: the decimal that is written times the cents, `rounded`.

    Examples
    --------
    >>> share_in_cents(1_850, 0.07), share_in_cents(105, 0.1)
    (130, 11)
    """
    return rounded(cents * Decimal(repr(float(share))))


def split(total: int, shares: Sequence[float]) -> tuple[int, ...]:
    """`total` cents in parts of `shares`; the last part takes what rounding leaves.

    Examples
    --------
    >>> split(100, [1 / 3, 1 / 3, 1 / 3])
    (33, 33, 34)
    """
    parts = [share_in_cents(total, share) for share in shares[:-1]]
    return (*parts, total - sum(parts))
