"""Random small cases whose work and machine may end any time."""

from collections.abc import Callable
from typing import Any

from hypothesis import assume
from hypothesis import strategies as st

from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream
from tests.oracle import machine
from tests.oracle.strategies import one_in, one_of, small_cases

Draw = Callable[[st.SearchStrategy[Any]], Any]

MOST_PERIODS, MOST_STATES = 6, 16


@st.composite
def ending_cases(draw: Draw) -> Case:
    """A case with a life, a stay or a chance that nobody knows, small enough to enumerate."""
    case = draw(small_cases(most_slots=3, most_streams=2, most_drivers=1))
    assume(case.growth.periods <= MOST_PERIODS)
    assume(len(machine.states(case)) <= MOST_STATES)
    years = case.growth.horizon_years
    stay = draw(ranges(years, 0.3)) if draw(one_in(2)) else None
    streams = tuple(draw(with_ranges(stream, years)) for stream in case.growth.stream)
    assume(stay is not None or any(isinstance(s.lasts_years, Triangular) for s in streams))
    found: Case = case.model_copy(
        update={
            "machine": case.machine.model_copy(update={"kept_years": stay}),
            "growth": case.growth.model_copy(update={"stream": streams}),
        }
    )
    return found


@st.composite
def with_ranges(draw: Draw, stream: Stream, years: float) -> Stream:
    """A stream that may end any time, or not, with a chance that nobody knows, or not."""
    lasts = stream.lasts_years if draw(one_in(4)) else draw(ranges(years, 0.15))
    chance = stream.chance
    if draw(one_in(3)) and isinstance(chance, float):
        chance = Triangular(low=0.5 * chance, likely=chance, high=min(1.6 * chance, 1.0))
    return stream.model_copy(update={"lasts_years": lasts, "chance": chance})


@st.composite
def ranges(draw: Draw, years: float, least: float) -> Triangular:
    """Shortest, likeliest, longest of a length of time, as parts of the horizon."""
    low, likely, high = sorted(draw(one_of(least, 0.3, 0.5, 0.8, 1.2)) for _ in range(3))
    return Triangular(low=low * years, likely=likely * years, high=(high + 0.05) * years)
