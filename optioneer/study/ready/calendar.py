"""The working calendar of a site as truth values a day, and days as dates."""

from datetime import date, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from optioneer.errors import RequestError
from optioneer.model.works import WorkCalendar

if TYPE_CHECKING:
    from holidays import HolidayBase

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@lru_cache(maxsize=32)  # of one case it is asked for a dozen times; holidays take long to reckon
def working_days(calendar: WorkCalendar, first: date, count: int) -> NDArray[np.bool_]:
    """Whether each of `count` days from `first` on is worked.

    Raises
    ------
    RequestError
        The country or its part is unknown.
    """
    start = np.datetime64(first)
    mask = "".join("1" if day in calendar.weekdays else "0" for day in WEEKDAYS)
    off = [*calendar.holiday, *public_holidays(calendar, first, first + timedelta(days=count))]
    for shutdown in calendar.shutdown:
        span = (shutdown.last - shutdown.first).days + 1
        off += [shutdown.first + timedelta(days=day) for day in range(span)]
    days = start + np.arange(count)
    own = np.array(off, dtype="datetime64[D]")
    instead = np.array(
        sorted(_worked_instead(calendar, first, first + timedelta(days=count)) - {*off}),
        dtype="datetime64[D]",
    )
    worked = np.is_busday(days, weekmask=mask, holidays=own) | np.isin(days, instead)
    worked.flags.writeable = False
    return worked


def public_holidays(calendar: WorkCalendar, first: date, last: date) -> tuple[date, ...]:
    """Public holidays of the calendar's country from `first` to `last`; none without a country.

    Raises
    ------
    RequestError
        The country or its part is unknown.
    """
    if calendar.country is None:
        return ()
    found = _country(calendar, first, last)
    return tuple(day for day in sorted(found) if first <= day <= last)


def _worked_instead(calendar: WorkCalendar, first: date, last: date) -> set[date]:
    """Weekend days on which a country works for a day off in the week."""
    if calendar.country is None:
        return set()
    return set(_country(calendar, first, last).weekend_workdays)


def _country(calendar: WorkCalendar, first: date, last: date) -> "HolidayBase":
    import holidays  # noqa: PLC0415 - 0.1 s, needed only for a country

    years = range(first.year, last.year + 1)
    try:
        return holidays.country_holidays(
            calendar.country or "", subdiv=calendar.subdivision or None, years=years
        )
    except NotImplementedError as error:
        place = " ".join(filter(None, [calendar.country, calendar.subdivision]))
        raise RequestError(
            f"site.toml, calendar: no public holidays are known for '{place}'. Give an ISO 3166 "
            "country and part, or leave both out and list the days under 'holiday'."
        ) from error
