"""The best mix of work in the hours there are, solved as the linear programme that it is."""

from functools import cache

import highspy
import numpy as np

from optioneer.model.case import Case
from optioneer.model.growth import Stream
from tests.oracle.machine import State, earned_share

Doing = tuple[float, float, float]
"""Margin a year, share and hours of one way of one stream."""


def ways_owned(stream: Stream, state: State) -> list[tuple[float, float]]:
    """Share and hours of the fallback and of each owned way."""
    owned = [way for way in stream.way if state.issuperset(way.options)]
    takes = [(way.share, stream.hours if way.hours is None else way.hours) for way in owned]
    return [(stream.fallback, 0.0), *takes]


def earned(case: Case, state: State, margins: tuple[float, ...]) -> float:
    """What a state earns a year with the margins of the streams in the best mix [money]."""
    pairs = list(zip(case.growth.stream, margins, strict=True))
    if case.hours is None:
        return sum(margin * earned_share(stream, state) for stream, margin in pairs)
    here = tuple(
        (margin, tuple(ways_owned(stream, state))) for stream, margin in pairs if margin > 0.0
    )
    return best_mix(here, case.hours.attended, case.hours.beyond)[0]


@cache
def best_mix(
    streams: tuple[tuple[float, tuple[tuple[float, float], ...]], ...],
    attended: float,
    beyond: float | None,
) -> tuple[float, float]:
    """What the best mix earns, and the dual value of the row of hours: HiGHS, primal as stated."""
    if not streams:
        return 0.0, 0.0
    solver = highspy.Highs()  # type: ignore[no-untyped-call]  # no stubs
    solver.setOptionValue("output_flag", False)
    most = highspy.kHighsInf
    solver.addVar(0.0, most if beyond is not None else 0.0)
    solver.changeColCost(0, -(beyond or 0.0))
    hours: list[tuple[int, float]] = []
    for margin, ways in streams:
        columns = []
        for share, takes in ways:
            column = solver.getNumCol()
            solver.addVar(0.0, most)
            solver.changeColCost(column, margin * share)
            columns.append(column)
            hours.append((column, takes))
        ones = np.ones(len(columns))
        solver.addRow(-most, 1.0, len(columns), np.array(columns, dtype=np.int32), ones)
    columns_of = np.array([0, *(column for column, _ in hours)], dtype=np.int32)
    takes_of = np.array([-1.0, *(takes for _, takes in hours)])
    solver.addRow(-most, attended, len(columns_of), columns_of, takes_of)
    solver.changeObjectiveSense(highspy.ObjSense.kMaximize)
    solver.run()
    duals = list(solver.getSolution().row_dual)
    return float(solver.getInfo().objective_function_value), abs(float(duals[-1]))
