"""An account that the bank lets go below zero: what that costs, and the days it does not cover."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from optioneer.dates import month_end
from optioneer.money.cents import rounded

Daily = Sequence[tuple[date, int]]
"""Balance at the end of every day, rising [cents]."""

DAYS = 365
"""Days of a year of interest on an account."""


def interest_below_zero(daily: Daily, rate: float) -> Iterator[tuple[date, int]]:
    """What the bank charges on the days that end below zero, at the ends of months [cents].

    Parameters
    ----------
    daily
        Balances of every day, before this interest.
    rate
        Nominal, a year.

    Notes
    -----
    Of every day, ACT/365, on what the charges so far have taken too; what the last days bear is
    charged on the last of them.
    """
    charged, borne = 0, 0.0
    for day, balance in daily:
        borne += max(charged - balance, 0) * rate / DAYS
        if day in (month_end(day), daily[-1][0]) and (cents := rounded(borne)):
            yield day, cents
            charged, borne = charged + cents, 0.0


@dataclass(frozen=True)
class Span:
    """Days in a row that end below a limit.

    Parameters
    ----------
    first, last
        Between which days.
    worst, cents
        Day with the lowest balance among them, and how far below the limit it is.
    """

    first: date
    last: date
    worst: date
    cents: int


def spans_below(daily: Daily, limit: int) -> tuple[Span, ...]:
    """The days that end below `limit` [cents], those in a row together."""
    rows = groupby(daily, key=lambda pair: pair[1] < limit)
    return tuple(_span(list(found), limit) for below, found in rows if below)


def _span(days: Daily, limit: int) -> Span:
    worst, balance = min(days, key=lambda pair: pair[1])
    return Span(days[0][0], days[-1][0], worst, limit - balance)
