"""Yearly rates of dated flows: return (XIRR), and the European annual percentage rate.

Signs: what the borrower receives is positive, what the borrower pays is negative. The other way
round gives the same rates.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise
from typing import Literal

import numpy as np

from optioneer.arrays import Floats
from optioneer.dates import DAYS_PER_YEAR, MONTHS_PER_YEAR, months_back, plus_months
from optioneer.money.discount import Dated
from optioneer.money.roots import roots

Period = Literal["week", "month", "year"]

_WIDEST = np.log(1e6)
_STEPS = 2001


def internal_rates(years: Sequence[float], amounts: Sequence[float]) -> tuple[float, ...]:
    """Every effective yearly rate at which the flows are worth nothing, rising.

    Parameters
    ----------
    years, amounts
        Times [years] and signed amounts [money], of one length.

    Returns
    -------
    tuple of float
        Between -99.9999 % and 1e8 %. Empty: no rate balances the flows. More than one: none of
        them alone is *the* rate.

    Notes
    -----
    Descartes' rule of signs, which also holds for real exponents: flows that change sign once
    in time have exactly one rate; the whole range is bracketed. Otherwise the range is scanned.
    """
    order = np.argsort(years, kind="stable")
    times = np.asarray(years, dtype=np.float64)[order]
    flows = _flows_by_time(times, np.asarray(amounts, dtype=np.float64)[order])
    changes = int(np.count_nonzero(np.diff(np.sign(flows[flows != 0]))))
    if changes == 0:
        return ()

    def worth(logs: Floats) -> Floats:
        powers = -np.multiply.outer(logs, times)
        powers -= powers.max(axis=-1, keepdims=True)
        value: Floats = np.exp(powers) @ flows
        return value

    steps = 2 if changes == 1 else _STEPS
    return tuple(float(np.expm1(x)) for x in roots(worth, np.linspace(-_WIDEST, _WIDEST, steps)))


def _flows_by_time(times: Floats, flows: Floats) -> Floats:
    """Flows with those of one moment added up at its first place."""
    _, first, group = np.unique(times, return_index=True, return_inverse=True)
    merged = np.zeros_like(flows)
    np.add.at(merged, first[group], flows)
    return merged


def dated_rates(flows: Sequence[Dated]) -> tuple[float, ...]:
    """Every XIRR of dated flows: effective yearly rates, ACT/365 from the first date."""
    start = min(day for day, _ in flows)
    years = [(day - start).days / DAYS_PER_YEAR for day, _ in flows]
    return internal_rates(years, [amount for _, amount in flows])


def european_rates(flows: Sequence[Dated], period: Period = "month") -> tuple[float, ...]:
    """Every annual percentage rate of charge by the European formula.

    Times run from the first drawdown: the first flow that the borrower receives.

    References
    ----------
    Directive 2008/48/EC, Annex I; Directive 2014/17/EU, Annex I.
    """
    start = min(day for day, amount in flows if amount > 0)
    years = [european_interval(start, day, period) for day, _ in flows]
    return internal_rates(years, [amount for _, amount in flows])


def european_interval(start: date, end: date, period: Period = "month") -> float:
    """Years between two dates: whole periods back from `end`, then days over a year's length.

    The year is the one that ends where the left-over days end.

    References
    ----------
    Directive 2014/17/EU, Annex I, remark (c); European Commission, "Examples for the calculation
    of the annual percentage rate of charge" (January 2015), section 2.

    Examples
    --------
    >>> european_interval(date(2012, 1, 12), date(2012, 2, 15)) == 3 / 365 + 1 / 12
    True
    """
    if end < start:
        return -european_interval(end, start, period)
    years, rest = _whole_periods(start, end, period)
    length = (rest - plus_months(rest, -MONTHS_PER_YEAR)).days
    return (rest - start).days / length + years


def _whole_periods(start: date, end: date, period: Period) -> tuple[float, date]:
    """Whole periods that fit, in years, and the day to which they reach back."""
    if period == "week":
        weeks = (end - start).days // 7
        return weeks / 52, end - timedelta(weeks=weeks)
    step = MONTHS_PER_YEAR if period == "year" else 1
    full, rest = months_back(start, end)
    count = full // step
    rest = rest if count * step == full else plus_months(end, -count * step)
    return count * step / MONTHS_PER_YEAR, rest


def gaps(days: Sequence[date]) -> list[tuple[date, date]]:
    """Neighbouring pairs of distinct dates, rising."""
    return list(pairwise(sorted(set(days))))
