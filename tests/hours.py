"""Demo cases in which the attended hours do not reach for all of the work; figures invented."""

from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream, Way
from optioneer.model.machine import Hours

AN_HOUR = 60.0
"""Margin that an hour of a demo's work earns [money]."""


def short_of_hours(case: Case, *, attended: float = 1500.0, beyond: float | None = None) -> Case:
    """`case` with hours for each kind of work by its margin, and ordinary work that takes most.

    Neither the demo's own hours and ordinary work count nor its range for how long the machine
    stays.
    """
    streams = [_taking(stream) for stream in case.growth.stream if stream.id != "everyday"]
    margin = Triangular(low=60e3, likely=75e3, high=90e3)
    ordinary = Stream(
        id="ordinary",
        chance=1.0,
        years=Triangular(low=0.0, likely=0.0, high=0.0),
        margin=margin,
        hours=1300.0,
        way=(Way(options=()),),
    )
    growth = case.growth.model_copy(update={"stream": (*streams, ordinary)})
    hours = Hours(attended=attended, beyond=beyond)
    machine = case.machine.model_copy(update={"kept_years": None})
    return case.model_copy(update={"machine": machine, "growth": growth, "hours": hours})


def _taking(stream: Stream) -> Stream:
    """A stream with hours; what a loader or a robot does takes a third of them."""
    hours = round(stream.margin.likely / AN_HOUR)
    unattended = {"pallet-loader", "robot-cell"}
    ways = tuple(
        way.model_copy(update={"hours": hours / 3.0 if unattended & {*way.options} else None})
        for way in stream.way
    )
    return stream.model_copy(update={"hours": hours, "way": ways})
