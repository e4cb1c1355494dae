"""Random small valid cases that use every feature and leave something to decide.

The figures are drawn from short lists of round numbers: a failing case can be read.
"""

from collections.abc import Callable, Sequence
from datetime import date
from functools import cache, lru_cache
from itertools import combinations
from math import prod
from typing import Any

from hypothesis import strategies as st

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.fact import Triangular
from optioneer.model.growth import Driver, Growth, Stream, Way
from optioneer.model.machine import Bundle, Dates, Hours, Machine
from tests.oracle import machine
from tests.oracle.machine import State

MOST_STATES = 64
DRIVERS = ("automation", "precision")

Draw = Callable[[st.SearchStrategy[Any]], Any]


@cache
def one_in(times: int) -> st.SearchStrategy[bool]:
    """True one time in so many; shrinks to False."""
    return st.integers(0, times - 1).map(lambda number: number == times - 1 and times > 1)


def certain(value: float) -> Triangular:
    """A quantity without doubt."""
    return Triangular(low=value, likely=value, high=value)


@st.composite
def small_cases(
    draw: Draw, *, most_slots: int = 4, most_streams: int = 3, most_drivers: int = 2
) -> Case:
    """Random cases that the exact solver values in well under a second.

    Parameters
    ----------
    most_slots, most_streams
        At most so many slots, of at most 3 options each, and streams; at least one of both.
    most_drivers
        At most so many drivers, 0, 1 or 2; with 0 all streams are independent.
    """
    bare = draw(bare_cases(most_slots))
    reachable = machine.states(bare)
    bundles = draw(bundles_of(bare, reachable))
    drivers = draw(st.lists(st.sampled_from(DRIVERS), unique=True, max_size=most_drivers))
    nudges = [draw(one_of(0.0, 0.0, 0.5, -0.8)) for _ in drivers]
    count = draw(one_of(2, 3, 1).map(lambda number: min(number, most_streams)))
    streams = [draw(streams_of(bare, (f"work-{k}", drivers, reachable))) for k in range(count)]
    forces = [Driver(id=name, nudge=nudge) for name, nudge in zip(drivers, nudges, strict=True)]
    growth = bare.growth.model_copy(update={"driver": tuple(forces), "stream": tuple(streams)})
    found: Case = bare.model_copy(update={"bundles": bundles, "growth": growth})
    return found


@st.composite
def bare_cases(draw: Draw, most_slots: int) -> Case:
    """A machine with its options, without work streams and bundles."""
    sizes = draw(
        st.lists(one_of(2, 1, 1, 3), min_size=min(2, most_slots), max_size=most_slots).filter(
            lambda sizes: prod(size + 1 for size in sizes) <= MOST_STATES
        )
    )
    rows: list[dict[str, Any]] = []
    for slot, size in enumerate(sizes):
        for grade in range(size):
            rows.append(draw(rows_of((slot, grade), rows)))
    case = Case(
        name="small",
        machine=draw(machines()),
        dates=Dates(order=date(2027, 2, 1), lead=draw(one_of(0.0, 0.25, 0.6))),
        call_outs={"default": draw(one_of(800.0, 0.0, 2500.0)), "team": 3000.0},
        catalogue=Catalogue(options=tuple(Option(**row) for row in rows)),
        growth=draw(horizons()),
    )
    return draw(with_exclusion(case)) if draw(one_in(3)) else case


def machines() -> st.SearchStrategy[Machine]:
    """A machine without its options."""
    return st.builds(
        Machine,
        name=st.just("A machine"),
        kind=st.just("mill"),
        base_price=one_of(60e3, 120e3, 300e3),
        currency=st.just("USD"),
        margin_per_day=one_of(600.0, 1500.0),
        resale_share=one_of(0.0, 0.25),
    )


@st.composite
def horizons(draw: Draw) -> Growth:
    """Three to eight periods of a year, half a year or a quarter, without streams."""
    periods, a_year = draw(one_of(6, 8, 7, 5, 4, 3)), draw(one_of(1, 1, 2, 4))
    return Growth(
        horizon_years=periods / a_year,
        periods_per_year=a_year,
        discount_rate=draw(one_of(0.08, 0.15, 0.0)),
        retrofit_inflation=draw(one_of(0.0, 0.03)),
    )


@st.composite
def rows_of(
    draw: Draw, place: tuple[int, int], earlier: Sequence[dict[str, Any]]
) -> dict[str, Any]:
    """One option: a grade in a slot. It looks only at earlier ones, so nothing goes in circles."""
    slot, grade = place
    row: dict[str, Any] = {
        "option": f"slot-{slot}-{grade}",
        "name": f"Grade {grade} of slot {slot}",
        "slot": f"slot-{slot}",
        "price": 1000.0 * draw(st.integers(6, 24)) * (1 + grade),
        "fitting": "factory-only" if draw(one_in(8)) else "retrofittable",
        "upkeep_per_year": draw(one_of(0.0, 0.0, 200.0, 700.0)),
        "resale_share": draw(one_of(0.0, 0.0, 0.1, 0.4)),
    }
    if row["fitting"] == "retrofittable":
        row |= draw(retrofit_columns(earlier))
    if grade == 0 and draw(one_in(4)):
        credit = draw(one_of(None, 0.3, 0.8))
        row |= {"standard": True, "delete_credit": credit and credit * row["price"]}
    elif others := [other["option"] for other in earlier if other["slot"] != row["slot"]]:
        row["requires"] = (draw(st.sampled_from(others)),) if draw(one_in(6)) else ()
    return row


@st.composite
def retrofit_columns(draw: Draw, earlier: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """What a retrofit of an option takes; it may be eased by an earlier option of any slot."""
    multiplier = draw(one_of(1.2, 1.4, 1.1, 3.0))
    columns = {
        "multiplier": certain(multiplier),
        "later_price": draw(one_of(None, None, None, 9000.0, 16e3)),
        "call_out": draw(one_of("default", "default", "team", None)),
        "downtime_days": draw(one_of(0.5, 0.0, 2.0)),
    }
    if earlier and draw(one_in(3)):
        easer = draw(st.sampled_from([other["option"] for other in earlier]))
        columns |= {"eased_by": easer, "eased": certain(multiplier * draw(one_of(0.4, 0.75)))}
    return columns


@lru_cache(maxsize=None, typed=True)
def one_of(*values: float | str | None) -> st.SearchStrategy[Any]:
    """One of some values; made once, for making it takes longer than drawing from it."""
    return st.sampled_from(values)


@st.composite
def with_exclusion(draw: Draw, case: Case) -> Case:
    """The case with one exclusion that leaves every option orderable, if there is one."""
    names = {option.option for option in case.catalogue.options}
    free = [o.option for o in case.catalogue.options if not o.standard]

    def harmless(pair: tuple[str, str]) -> bool:
        left = [state for state in machine.states(case) if not state.issuperset(pair)]
        return len(left) < len(machine.states(case)) and frozenset().union(*left) == names

    pairs = [pair for pair in combinations(free, 2) if harmless(pair)]
    if not pairs:
        return case
    first, second = draw(st.sampled_from(pairs))
    options = tuple(
        o.model_copy(update={"excludes": (second,)}) if o.option == first else o
        for o in case.catalogue.options
    )
    return case.model_copy(update={"catalogue": Catalogue(options=options)})


def fitting_together(names: Sequence[str], reachable: Sequence[State]) -> list[tuple[str, ...]]:
    """One or two of some options that a state holds together."""
    sets = [*combinations(sorted(names), 1), *combinations(sorted(names), 2)]
    return [chosen for chosen in sets if any(state.issuperset(chosen) for state in reachable)]


@st.composite
def bundles_of(draw: Draw, case: Case, reachable: Sequence[State]) -> tuple[Bundle, ...]:
    """No bundle or one, of two options that are not standard."""
    options = {o.option: o.price for o in case.catalogue.options if not o.standard}
    pairs = [pair for pair in fitting_together(list(options), reachable) if len(pair) > 1]
    if not pairs or not draw(one_in(2)):
        return ()
    chosen = draw(st.sampled_from(pairs))
    discount = draw(one_of(0.1, 0.3)) * sum(options[name] for name in chosen)
    return (Bundle(id="pair", options=chosen, discount=discount),)


@st.composite
def streams_of(draw: Draw, case: Case, about: tuple[str, Sequence[str], Sequence[State]]) -> Stream:
    """A stream worth having to decide about: its margin is measured by what its ways cost."""
    name, drivers, reachable = about
    growth = case.growth
    names = [o.option for o in case.catalogue.options]
    sets = st.sampled_from(fitting_together(names, reachable))
    ways = draw(st.lists(sets, min_size=1, max_size=2, unique=True))
    shares = [1.0, draw(one_of(0.6, 0.9))]
    pays = draw(one_of(1.6, 2.4, 0.8, 4.0)) * max(price_of(case, ways[0]), 2000.0)
    lasts = draw(one_of(None, None, 2.1, 4.9))
    return Stream(
        id=name,
        chance=draw(one_of(0.25, 0.12, 0.18, 0.4, 0.9)),
        years=draw(arrivals(growth)),
        margin=certain(round(pays * growth.periods_per_year)),
        growth=draw(one_of(0.0, 0.04, 0.1, -0.1)),
        lasts_years=lasts and lasts / growth.periods_per_year,
        fallback=draw(one_of(0.0, 0.1, 0.4)),
        drivers=draw(loadings(drivers)),
        way=tuple(Way(options=w, share=s) for w, s in zip(ways, shares, strict=False)),
    )


def price_of(case: Case, way: Sequence[str]) -> float:
    """Factory price of the options of a way [money]."""
    return sum(o.price for o in case.catalogue.options if o.option in way)


@st.composite
def arrivals(draw: Draw, growth: Growth) -> Triangular:
    """When a stream may come: in the middle of a period for certain, or any time."""
    if draw(one_in(6)):
        period = draw(st.integers(0, growth.periods - 1))
        return certain((period + 0.5) / growth.periods_per_year)
    low, likely, high = sorted(draw(one_of(0.2, 0.0, 0.4, 0.6, 0.1, 1.1)) for _ in range(3))
    if high == low:
        high += 0.3
    years = growth.horizon_years
    return Triangular(low=low * years, likely=likely * years, high=high * years)


@st.composite
def loadings(draw: Draw, drivers: Sequence[str]) -> dict[str, float]:
    """Loadings on some drivers; their squares sum to at most 0.85."""
    sizes = (0.0, 0.6, 0.9, -0.6) if len(drivers) == 1 else (0.0, 0.4, 0.65, -0.4)
    return {name: a for name in drivers if (a := draw(one_of(*sizes)))}


@st.composite
def small_cases_with_hours(
    draw: Draw,
    *,
    beyond: Sequence[float | None] = (None, 15.0, 40.0, 90.0),
    most_slots: int = 3,
    most_streams: int = 3,
) -> Case:
    """Random cases in which work shares the hours there are, some of it done as it stands.

    Parameters
    ----------
    beyond
        What an hour more may cost, none where there is none.
    most_slots, most_streams
        As for `small_cases`.
    """
    case = draw(small_cases(most_slots=most_slots, most_streams=most_streams))
    streams = tuple(draw(with_workload(stream)) for stream in case.growth.stream)
    if len(streams) < most_streams and draw(one_in(2)):
        streams = (*streams, draw(ordinary_work(case)))
    needed = sum(stream.hours for stream in streams)
    hours = Hours(
        attended=round(needed * draw(one_of(0.5, 0.3, 0.7, 0.9, 0.0))),
        beyond=draw(st.sampled_from(beyond)),
    )
    growth = case.growth.model_copy(update={"stream": streams})
    found: Case = case.model_copy(update={"growth": growth, "hours": hours})
    return found


@st.composite
def with_workload(draw: Draw, stream: Stream) -> Stream:
    """A stream that takes hours, by some ways fewer, and perhaps some as the machine stands."""
    hours = draw(one_of(800.0, 400.0, 1500.0, 0.0))
    ways = [
        way.model_copy(update={"hours": draw(one_of(None, None, 0.5, 0.0))}) for way in stream.way
    ]
    ways = [
        way if way.hours is None else way.model_copy(update={"hours": way.hours * hours})
        for way in ways
    ]
    if draw(one_in(3)):
        ways.append(Way(options=(), share=draw(one_of(0.5, 0.8)), hours=hours))
    return stream.model_copy(update={"hours": hours, "way": tuple(ways)})


@st.composite
def ordinary_work(draw: Draw, case: Case) -> Stream:
    """Work that is there from the first day, whatever is ordered."""
    margin = draw(one_of(20e3, 50e3, 9e3)) * case.growth.periods_per_year
    return Stream(
        id="ordinary",
        chance=1.0,
        years=certain(0.0),
        margin=certain(margin),
        hours=draw(one_of(700.0, 1200.0)),
        way=(Way(options=()),),
    )
