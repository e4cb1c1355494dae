"""Dates by months and weeks, and the words of contracts about days."""

import calendar as months
from datetime import date, timedelta
from typing import Literal

DayCount = Literal["30/360", "30E/360", "act/365", "act/360", "act/act"]
Convention = Literal["none", "following", "modified-following", "preceding", "modified-preceding"]
Unit = Literal["days", "weeks", "months"]

MONTHS_PER_YEAR = 12

SHORTEST_MONTH = 28
"""Days that every month has."""

DAYS_PER_YEAR = 365.0
"""ACT/365: years between two dates are days / 365."""


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
    if day.day <= SHORTEST_MONTH:
        return date(year, month + 1, day.day)
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


def plus(day: date, count: int, unit: Unit) -> date:
    """`day` moved by `count` days, weeks or months."""
    if unit == "months":
        return plus_months(day, count)
    return day + timedelta(days=count * (7 if unit == "weeks" else 1))
