"""The annual percentage rate by the actuarial method: unit-periods and odd days.

References
----------
Regulation Z, 12 CFR Part 1026, Appendix J, paragraph (b). Paragraph numbers below are its own.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np

from optioneer.arrays import Floats
from optioneer.dates import MONTHS_PER_YEAR, month_end, months_back, plus_months
from optioneer.money.discount import Dated
from optioneer.money.rates import gaps
from optioneer.money.roots import roots

_DAYS_PER_MONTH = 365 / 12
_HALF_MONTH = 15
_LONGEST_WEEKS = 52


@dataclass(frozen=True)
class UnitPeriod:
    """The time over which the rate compounds.

    Parameters
    ----------
    kind
        What it is counted in; `days` and `term` are for single payments.
    """

    kind: Literal["days", "weeks", "half-month", "months"]
    count: int = 1

    @property
    def per_year(self) -> float:
        """Unit-periods a year, (b)(5)."""
        match self.kind:
            case "days":
                return 365 / self.count
            case "weeks":
                return 52 / self.count
            case "half-month":
                return 24.0
            case "months":
                return MONTHS_PER_YEAR / self.count

    @property
    def days(self) -> float:
        """Length, to compare unit-periods with one another."""
        match self.kind:
            case "days":
                return float(self.count)
            case "weeks":
                return 7.0 * self.count
            case "half-month":
                return _DAYS_PER_MONTH / 2
            case "months":
                return _DAYS_PER_MONTH * self.count

    def between(self, start: date, end: date) -> tuple[int, float]:
        """Whole unit-periods and the fraction of one between two dates, (b)(5).

        Whole ones are counted backwards from the later date, odd days forwards from the earlier.
        """
        if self.kind in {"days", "weeks"}:
            length = self.count * (7 if self.kind == "weeks" else 1)
            whole, odd = divmod((end - start).days, length)
            return whole, odd / length
        if self.kind == "months" and self.count == MONTHS_PER_YEAR:
            return _years_between(start, end)
        full, rest = months_back(start, end)
        odd_days = (rest - start).days
        length = _HALF_MONTH if self.kind == "half-month" else 30 * self.count
        if length == 30:  # noqa: PLR2004 - a month: odd days stay below the next whole one
            return full, odd_days / 30
        whole, odd = divmod(30 * full + odd_days, length)
        return whole, odd / length


def _years_between(start: date, end: date) -> tuple[int, float]:
    """Whole years, then months / 12 if they are whole, otherwise days / 365, (b)(5)(v)."""
    full, rest = months_back(start, end)
    whole, left = divmod(full, MONTHS_PER_YEAR)
    if rest == start:
        return whole, left / MONTHS_PER_YEAR
    return whole, (plus_months(end, -whole * MONTHS_PER_YEAR) - start).days / 365


def unit_period(advances: Sequence[date], payments: Sequence[date]) -> UnitPeriod:
    """The unit-period of a transaction, (b)(4).

    Parameters
    ----------
    advances, payments
        Scheduled dates, before weekends and holidays move them: those shifts are disregarded
        (12 CFR 1026.17(c)(3)).
    """
    start = min([*advances, *payments])
    if len(set(advances)) == 1 and len(set(payments)) == 1:
        return _single(start, payments[0])
    spans = [*gaps(advances), *gaps(payments), (start, min(payments))]
    spans = [span for span in spans if span[0] < span[1]]
    paid = Counter(unit for span in gaps(payments) for unit in _standard(*span))
    counts = Counter(unit for span in spans for unit in _likely_units(span, paid))
    most = max(counts.values(), default=0)
    if most > 1:
        return min((unit for unit in counts if counts[unit] == most), key=lambda unit: unit.days)
    return _nearest(sum((end - first).days for first, end in spans) / len(spans))


def _single(start: date, end: date) -> UnitPeriod:
    """The term of one advance and one payment, at most a year, (b)(4)(ii) and (b)(5)(vi)."""
    full, rest = months_back(start, end)
    if full >= MONTHS_PER_YEAR:
        return UnitPeriod("months", MONTHS_PER_YEAR)
    if full and rest == start:
        return UnitPeriod("months", full)
    return UnitPeriod("days", (end - start).days)


def _standard(start: date, end: date) -> Iterator[UnitPeriod]:
    """The standard intervals that a span may be taken for; February makes some both."""
    full, rest = months_back(start, end)
    if 0 < full <= MONTHS_PER_YEAR and rest == start:
        yield UnitPeriod("months", full)
    weeks, odd = divmod((end - start).days, 7)
    if not odd and weeks <= _LONGEST_WEEKS:
        yield UnitPeriod("weeks", weeks)
    if _half_month(start, end):
        yield UnitPeriod("half-month")


def _likely_units(span: tuple[date, date], paid: Mapping[UnitPeriod, int]) -> list[UnitPeriod]:
    """Of the intervals that a span may be taken for, those that most payments are apart."""
    standard = list(_standard(*span))
    most = max((paid.get(unit, 0) for unit in standard), default=0)
    return [unit for unit in standard if paid.get(unit, 0) == most]


def _half_month(start: date, end: date) -> bool:
    """Whether two dates are half a month apart: 1 and 16, 1 and 15, 15 and last, and so on."""
    if (end - start).days > _HALF_MONTH + 3:
        return False
    if start.month == end.month:
        apart = end.day - start.day
        return apart in {14, _HALF_MONTH} or (start.day == _HALF_MONTH and end == month_end(end))
    back = start.day - end.day
    return back in {14, _HALF_MONTH} or (start == month_end(start) and end.day == _HALF_MONTH)


def _nearest(days: float) -> UnitPeriod:
    """The standard interval nearest to an average of `days`; the lower of two, (b)(4)(i)(B)."""
    choices = [
        UnitPeriod("days"),
        UnitPeriod("half-month"),
        *(UnitPeriod("weeks", count) for count in range(1, _LONGEST_WEEKS + 1)),
        *(UnitPeriod("months", count) for count in range(1, MONTHS_PER_YEAR + 1)),
    ]
    return min(choices, key=lambda unit: (abs(unit.days - days), unit.days))


def actuarial_rates(flows: Sequence[Dated]) -> tuple[float, ...]:
    """Every annual percentage rate of dated flows by the actuarial method, as a fraction.

    Parameters
    ----------
    flows
        Advances positive, payments negative; flows of one day are added up first.
    """
    net: dict[date, float] = {}
    for day, amount in flows:
        net[day] = net.get(day, 0.0) + amount
    advances = [day for day, amount in net.items() if amount > 0]
    payments = [day for day, amount in net.items() if amount < 0]
    if not advances or not payments:
        return ()
    unit = unit_period(advances, payments)
    start = min(net)
    spans = [unit.between(start, day) for day in net]
    return unit_period_rates(spans, list(net.values()), per_year=unit.per_year)


def unit_period_rates(
    spans: Sequence[tuple[int, float]], amounts: Sequence[float], *, per_year: float
) -> tuple[float, ...]:
    """Every annual percentage rate of flows at whole and fractional unit-periods, (b)(8).

    Notes
    -----
    A flow after t whole and f fractional unit-periods is worth amount / ((1 + f i) (1 + i)^t);
    the annual percentage rate is i times the unit-periods a year.
    """
    whole = np.array([span[0] for span in spans], dtype=np.float64)
    part = np.array([span[1] for span in spans], dtype=np.float64)
    flows = np.asarray(amounts, dtype=np.float64)

    def worth(logs: Floats) -> Floats:
        powers = -np.multiply.outer(logs, whole)
        powers -= powers.max(axis=-1, keepdims=True)
        simple = 1.0 + np.multiply.outer(np.expm1(logs), part)
        value: Floats = (np.exp(powers) / simple) @ flows
        return value

    grid = np.log1p(np.concatenate([np.linspace(-0.5, 1.0, 301), np.geomspace(1.01, 100, 100)]))
    return tuple(float(np.expm1(x)) * per_year for x in roots(worth, grid))
