"""Dates: months added, days counted for interest, and business days."""

import calendar as months
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from typing import Literal, get_args

import holidays
import numpy as np

DayCount = Literal["30/360", "30E/360", "act/365", "act/360", "act/act"]
Convention = Literal["none", "following", "modified-following", "preceding", "modified-preceding"]

FEBRUARY = 2
LONGEST_MONTH = 31
MONTHS_PER_YEAR = 12


def month_end(day: date) -> date:
    """The last day of the month of `day`."""
    return day.replace(day=months.monthrange(day.year, day.month)[1])


def plus_months(day: date, count: int) -> date:
    """The same day of the month `count` months on, or the last day of a shorter month.

    Examples
    --------
    >>> plus_months(date(2015, 1, 31), 1)
    datetime.date(2015, 2, 28)
    """
    year, month = divmod(day.year * MONTHS_PER_YEAR + day.month - 1 + count, MONTHS_PER_YEAR)
    last = months.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))


def months_back(start: date, end: date) -> tuple[int, date]:
    """Whole months that fit between two dates, and the day they reach back to from `end`.

    A month from the 29th, 30th or 31st to the last day of a shorter month is whole.

    Examples
    --------
    >>> months_back(date(1978, 2, 10), date(1978, 4, 1))
    (1, datetime.date(1978, 3, 1))
    """
    count = (end.year - start.year) * MONTHS_PER_YEAR + end.month - start.month
    if plus_months(end, -count) < start and plus_months(start, count) != end:
        count -= 1
    return count, max(start, plus_months(end, -count))


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
        ISO 3166 code whose public holidays are days off; none: weekends only.
    subdivision
        ISO 3166-2 code of the state or region, without the country.
    """

    convention: Convention = "following"
    country: str | None = None
    subdivision: str | None = None

    def is_open(self, day: date) -> bool:
        """Whether banks work on `day`."""
        return bool(np.is_busday(np.datetime64(day), busdaycal=self._around(day)))

    def moved(self, day: date) -> date:
        """`day` itself, or the business day that stands in for it."""
        if self.convention == "none":
            return day
        moved = np.busday_offset(
            np.datetime64(day), 0, roll=_ROLLS[self.convention], busdaycal=self._around(day)
        )
        return date.fromisoformat(str(moved))

    def _around(self, day: date) -> np.busdaycalendar:
        return _business_days(self.country, self.subdivision, day.year)


_ROLLS: dict[
    Convention, Literal["following", "preceding", "modifiedfollowing", "modifiedpreceding"]
]
_ROLLS = {
    "following": "following",
    "preceding": "preceding",
    "modified-following": "modifiedfollowing",
    "modified-preceding": "modifiedpreceding",
}


def known_place(country: str, subdivision: str | None) -> bool:
    """Whether the holidays of this country and subdivision are known."""
    try:
        holidays.country_holidays(country, subdiv=subdivision)
    except (NotImplementedError, KeyError):
        return False
    return True


@cache
def _business_days(country: str | None, subdivision: str | None, year: int) -> np.busdaycalendar:
    """Weekends and holidays from the year before to the year after `year`."""
    if country is None:
        return np.busdaycalendar()
    years = range(year - 1, year + 2)
    known = holidays.country_holidays(country, subdiv=subdivision, years=years)
    mask = [day not in known.weekend for day in range(7)]
    days_off = np.array(sorted(known), dtype="datetime64[D]")
    return np.busdaycalendar(weekmask=mask, holidays=days_off)


Unit = Literal["days", "weeks", "months"]
UNITS: tuple[Unit, ...] = get_args(Unit)


def plus(day: date, count: int, unit: Unit) -> date:
    """`day` moved by `count` days, weeks or months."""
    if unit == "months":
        return plus_months(day, count)
    return day + timedelta(days=count * (7 if unit == "weeks" else 1))
