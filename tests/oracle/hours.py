"""The best mix of work in the hours there are, solved as the linear programme that it is."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, cached_property

import highspy
import numpy as np
from numpy.typing import NDArray

from optioneer.model.case import Case
from optioneer.model.growth import Stream
from tests.oracle.machine import State

Ways = tuple[tuple[float, float], ...]
"""Share and hours of each way of a stream."""

Doing = tuple[float, float, float]
"""Margin a year, share and hours of one way of one stream."""


def ways_owned(stream: Stream, state: State) -> Ways:
    """Share and hours of the fallback and of each owned way."""
    owned = [way for way in stream.way if state.issuperset(way.options)]
    takes = [(way.share, stream.hours if way.hours is None else way.hours) for way in owned]
    return ((stream.fallback, 0.0), *takes)


@dataclass(frozen=True)
class Earning:
    """What states earn a year in the best mix, states that own the same ways as one."""

    case: Case
    states: Sequence[State]

    @cached_property
    def _owned(self) -> list[tuple[Ways, ...]]:
        """Of each state the ways of each stream that it owns."""
        streams = self.case.growth.stream
        return [tuple(ways_owned(stream, state) for stream in streams) for state in self.states]

    def of(self, margins: tuple[float, ...]) -> NDArray[np.float64]:
        """By state, with these margins of the streams [money]."""
        each = {ways: self._earned(ways, margins) for ways in set(self._owned)}
        return np.array([each[ways] for ways in self._owned])

    def _earned(self, owned: tuple[Ways, ...], margins: tuple[float, ...]) -> float:
        pairs, limit = list(zip(margins, owned, strict=True)), self.case.hours
        if limit is None:
            return sum(margin * max(share for share, _ in ways) for margin, ways in pairs)
        here = tuple((margin, ways) for margin, ways in pairs if margin > 0.0)
        return best_mix(here, limit.attended, limit.beyond)[0]


@cache
def best_mix(
    streams: tuple[tuple[float, Ways], ...],
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
