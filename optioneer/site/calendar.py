"""Working time on a calendar: from instants to work done and back.

An instant is a real number of days; day k runs from instant k to k + 1. Work is counted in
working days and may be a fraction of one.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Bools, Floats, Indices

_TOUCH = 1e-6
"""What lies this close to a whole day is meant to be one: three thirds make a day [days]."""


def snapped(days: Floats) -> Floats:
    """The same, with what is within a millionth of a whole number made whole."""
    whole = np.round(days)
    return np.where(np.abs(days - whole) < _TOUCH, whole, days)


class CalendarEndError(ValueError):
    """Work runs past the last day of the calendar, or before its first."""


@dataclass(frozen=True, eq=False)
class Calendar:
    """Which days are worked.

    Parameters
    ----------
    working
        One truth value a day, from day 0 on.
    """

    working: Bools

    @cached_property
    def _work_done(self) -> Floats:
        return np.concatenate([[0.0], np.cumsum(self.working, dtype=np.float64)])

    @cached_property
    def _days(self) -> Indices:
        return np.flatnonzero(self.working)

    def work_before(self, instant: Floats) -> Floats:
        """Working days done before each instant.

        Raises
        ------
        CalendarEndError
            An instant lies outside the calendar.
        """
        day = np.floor(instant).astype(np.intp)
        if np.any(day < 0) or np.any(day >= self.working.size):
            raise CalendarEndError
        return snapped(self._work_done[day] + self.working[day] * (instant - day))

    def reached(self, work: Floats) -> Floats:
        """First instant by which so much work (above 0) is done."""
        return self._instant(np.ceil(work) - 1, work)

    def resumed(self, work: Floats) -> Floats:
        """Last instant at which no more than so much work is done: where work goes on."""
        return self._instant(np.floor(work), work)

    def _instant(self, day: Floats, work: Floats) -> Floats:
        place = day.astype(np.intp)
        if np.any(place < 0) or np.any(place >= self._days.size):
            raise CalendarEndError
        return snapped(self._days[place] + (work - place))

    def start(self, ready: Floats, days: Floats) -> Floats:
        """Earliest start of work [instant]: the next working moment; at once with no work."""
        return np.where(days > 0, self.resumed(self.work_before(ready)), ready)

    def finish(self, start: Floats, days: Floats) -> Floats:
        """Instant at which `days` of work begun at `start` are done."""
        work = snapped(self.work_before(start) + days)
        return np.where(days > 0, self.reached(np.where(days > 0, work, 1.0)), start)

    def latest_start(self, finish: Floats, days: Floats) -> Floats:
        """Last instant at which `days` of work can begin and still be done by `finish`."""
        work = snapped(self.work_before(finish) - days)
        return np.where(days > 0, self.resumed(work), finish)
