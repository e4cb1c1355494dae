"""What money at a later date is worth at an earlier one."""

from collections.abc import Iterable
from datetime import date

from optioneer.dates import DAYS_PER_YEAR

Dated = tuple[date, float]
"""A date and an amount of money on it."""


def discount_factor(rate: float, years: float) -> float:
    """Present value of 1 due in `years` at `rate` a year, effective: (1 + rate)^-years.

    Examples
    --------
    >>> round(discount_factor(0.03, 10), 3)
    0.744
    """
    return float((1.0 + rate) ** -years)


def present_value(flows: Iterable[Dated], rate: float, at: date) -> float:
    """Value on the day `at` of dated flows, at an effective yearly rate, ACT/365."""
    return sum(
        amount * discount_factor(rate, (day - at).days / DAYS_PER_YEAR) for day, amount in flows
    )
