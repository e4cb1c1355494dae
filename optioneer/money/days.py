"""Days counted for interest, and business days."""

import calendar as months
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache, lru_cache

import numpy as np

from optioneer.dates import Convention, DayCount

LONGEST_MONTH = 31


def days_30_360(start: date, end: date) -> int:
    """Days by the 30/360 bond basis: a 31st start is a 30th, and then so is a 31st end.

    References
    ----------
    2006 ISDA Definitions, section 4.16(f).
    """
    first = min(start.day, 30)
    last = 30 if end.day == LONGEST_MONTH and first == 30 else end.day  # noqa: PLR2004 - the rule
    return _days_of_360(start, end, last - first)


def days_30e_360(start: date, end: date) -> int:
    """Days by the 30E/360 Eurobond basis: any 31st is a 30th.

    References
    ----------
    2006 ISDA Definitions, section 4.16(g).
    """
    return _days_of_360(start, end, min(end.day, 30) - min(start.day, 30))


def _days_of_360(start: date, end: date, days: int) -> int:
    return 360 * (end.year - start.year) + 30 * (end.month - start.month) + days


def _actual_actual(start: date, end: date) -> float:
    """Years with each calendar year's days over its own length (ISDA 2006, 4.16(b))."""
    if start > end:
        return -_actual_actual(end, start)
    total, day = 0.0, start
    while day.year < end.year:
        new_year = date(day.year + 1, 1, 1)
        total += (new_year - day).days / _year_days(day.year)
        day = new_year
    return total + (end - day).days / _year_days(day.year)


def _year_days(year: int) -> int:
    return 366 if months.isleap(year) else 365


_YEARS: dict[DayCount, Callable[[date, date], float]] = {
    "30/360": lambda start, end: days_30_360(start, end) / 360,
    "30E/360": lambda start, end: days_30e_360(start, end) / 360,
    "act/365": lambda start, end: (end - start).days / 365,
    "act/360": lambda start, end: (end - start).days / 360,
    "act/act": _actual_actual,
}


def year_fraction(start: date, end: date, day_count: DayCount) -> float:
    """Years from `start` to `end` by the named day count; negative backwards.

    Examples
    --------
    >>> year_fraction(date(2026, 1, 31), date(2026, 7, 31), "30/360")
    0.5
    """
    return _YEARS[day_count](start, end)


@dataclass(frozen=True)
class BusinessDays:
    """When banks work, and where a payment goes that falls on a day off.

    Parameters
    ----------
    convention
        `following`: the next business day; `modified-following`: the same unless that is in
        another month, then the one before; `preceding` and `modified-preceding` the other way
        round; `none`: payments stay where they fall.
    country
        ISO 3166 code whose public holidays are days off, and whose working Saturdays and Sundays
        are business days; none: weekends only.
    subdivision
        ISO 3166-2 code of the state or region, without the country.
    """

    convention: Convention = "following"
    country: str | None = None
    subdivision: str | None = None

    def is_open(self, day: date) -> bool:
        """Whether banks work on `day`."""
        week, extra = self._around(day)
        return day in extra or bool(np.is_busday(np.datetime64(day), busdaycal=week))

    def moved(self, day: date) -> date:
        """`day` itself, or the business day that stands in for it."""
        return day if self.convention == "none" else _moved(self, day)

    def _moved(self, day: date) -> date:
        step = 1 if self.convention.endswith("following") else -1
        moved = self._open_from(day, step)
        if self.convention.startswith("modified") and moved.month != day.month:
            return self._open_from(day, -step)
        return moved

    def _open_from(self, day: date, step: int) -> date:
        while not self.is_open(day):
            day += timedelta(days=step)
        return day

    def _around(self, day: date) -> tuple[np.busdaycalendar, frozenset[date]]:
        return _business_days(self.country, self.subdivision, day.year)


@lru_cache(maxsize=2**13)
def _moved(days: BusinessDays, day: date) -> date:
    """Where a payment of a day goes: the same few days are asked for again and again."""
    return days._moved(day)  # noqa: SLF001 - its own


@cache
def _business_days(
    country: str | None, subdivision: str | None, year: int
) -> tuple[np.busdaycalendar, frozenset[date]]:
    """The week with its holidays, and weekend days worked instead, a year around `year`."""
    if country is None:
        return np.busdaycalendar(), frozenset()
    import holidays  # noqa: PLC0415 - slow, and not every case names a country

    years = range(year - 1, year + 2)
    known = holidays.country_holidays(country, subdiv=subdivision, years=years)
    mask = [day not in known.weekend for day in range(7)]
    days_off = np.array(sorted(known), dtype="datetime64[D]")
    return np.busdaycalendar(weekmask=mask, holidays=days_off), frozenset(known.weekend_workdays)
