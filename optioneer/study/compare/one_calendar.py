"""Machines that are compared on one calendar: work comes when it comes, whichever is there."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import floor

import numpy as np

from optioneer.dates import DAYS_PER_YEAR
from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream
from optioneer.study.problem.arrays import ON_TIME, Start

EDGE = 1e-9
"""Slack [periods] so that a machine due on a period's first day is there from it on."""


@dataclass(frozen=True)
class OneCalendar:
    """What machines that are compared have in common.

    Parameters
    ----------
    order
        The earliest order: time 0, to which all money is discounted.
    first_chips
        The earliest first chips: year 0 of all work and of its growth.
    """

    order: date
    first_chips: date

    def start(self, case: Case) -> Start:
        """When the machine of `case` is there.

        Parameters
        ----------
        case
            A dated case on the common growth.
        """
        ordered = _years(self.order, case.dates.order)
        if case.dates.first_chips_date == self.first_chips and not ordered:
            return ON_TIME
        missed = self._periods_later(case)
        whole = floor(missed + EDGE)
        return Start(
            lead=_years(self.order, self.first_chips) + whole / case.growth.periods_per_year,
            share=1.0 - max(missed - whole, 0.0),
            ordered=ordered,
        )

    def _periods_later(self, case: Case) -> float:
        """Periods between the earliest first chips and those of `case`."""
        late = _years(self.first_chips, case.dates.first_chips_date)
        return late * case.growth.periods_per_year

    def on(self, case: Case) -> Case:
        """`case` as it fares on this calendar, told from the first period it is there.

        Parameters
        ----------
        case
            A dated case on the common growth.

        Raises
        ------
        RequestError
            The machine is not there before the end.

        Notes
        -----
        The end is one date: a machine that comes p periods late has p fewer. Work that came
        meanwhile starts when it is there, so that years of arrival move p periods ahead and those
        before 0 count as 0; margins have grown by p periods; resale at the end is that of a machine
        p periods younger, ``share ** ((T - p) / T)``.
        """
        growth = case.growth
        whole = floor(self._periods_later(case) + EDGE)
        if whole >= growth.periods:
            raise RequestError(
                f"{case.name}: first chips on {case.dates.first_chips_date} are not before the end "
                f"of the {growth.horizon_years:g} years that the machines are compared over. "
                "Compare over a longer horizon, or leave it out."
            )
        return case if not whole else _later(case, whole)


def one_calendar(cases: Sequence[Case]) -> OneCalendar:
    """The calendar of some dated cases."""
    return OneCalendar(
        min(case.dates.order for case in cases), min(case.dates.first_chips_date for case in cases)
    )


def _years(start: date, end: date) -> float:
    return (end - start).days / DAYS_PER_YEAR


def _later(case: Case, whole: int) -> Case:
    """`case` as it is from period `whole` of the calendar on."""
    growth, late = case.growth, whole / case.growth.periods_per_year
    left = growth.periods - whole
    part = left / growth.periods
    machine = case.machine.model_copy(update={"resale_share": case.machine.resale_share**part})
    options = tuple(
        option.model_copy(update={"resale_share": option.resale_share**part})
        for option in case.catalogue.options
    )
    streams = tuple(_stream_later(stream, late) for stream in growth.stream)
    rest = {"horizon_years": left / growth.periods_per_year, "stream": streams}
    return case.model_copy(
        update={
            "machine": machine,
            "catalogue": Catalogue(options=options),
            "growth": growth.model_copy(update=rest),
        }
    )


def _stream_later(stream: Stream, late: float) -> Stream:
    grown = (1.0 + stream.growth) ** late
    return stream.model_copy(
        update={
            "years": _bounds_at(stream.years, -late, 1.0),
            "margin": _bounds_at(stream.margin, 0.0, grown),
        }
    )


def _bounds_at(bounds: Triangular, by: float, times: float) -> Triangular:
    low, likely, high = times * np.array([bounds.low, bounds.likely, bounds.high]) + by
    return Triangular.model_construct(low=float(low), likely=float(likely), high=float(high))
