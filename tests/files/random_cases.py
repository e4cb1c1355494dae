"""Random cases that fit together, for tests of writing and reading. All figures are invented."""

from collections.abc import Collection
from datetime import date
from typing import Any

from hypothesis import assume
from hypothesis import strategies as st

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.checks import consistency
from optioneer.model.fact import Triangular
from optioneer.model.growth import Driver, Growth, Stream, Way
from optioneer.model.machine import Bundle, Dates, Machine, Package

NAME = "case"
IDS = ("probe", "auto-door", "spindle-15k", "x1", "robot", "4th-axis")
VISITS = ("default", "controls", "spindle_team")

amounts = st.one_of(
    st.sampled_from([0.0, 1.0, 4200.0, 4.2, 4.125, 98500.55]),
    st.floats(min_value=0, max_value=1e11, allow_nan=False),
)
shares = st.floats(min_value=0, max_value=1)
lengths = st.floats(min_value=1, max_value=20)
quantities = st.floats(min_value=0, max_value=1e6)
texts = st.one_of(
    st.sampled_from(["=1+1", "'=x", "@a", "-5", "a,b;c", '6" chuck', "'tis", "# no", "[x]", "Ø 8"]),
    st.text(st.characters(exclude_categories=("C", "Z"), include_characters=" "), max_size=12),
)
names = texts.filter(str.strip)
notes = st.one_of(texts, st.sampled_from(["two\nlines", "a\r\nb", 'say "yes"']))


def ranges(values: st.SearchStrategy[float] = amounts) -> st.SearchStrategy[Triangular]:
    """Low, likely, high."""
    return st.lists(values, min_size=3, max_size=3).map(in_order)


def half(value: float) -> float:
    """A loading small enough to go with another one."""
    return value / 2


def in_order(values: list[float]) -> Triangular:
    """The least, the middle and the greatest of three."""
    low, likely, high = sorted(values)
    return Triangular(low=low, likely=likely, high=high)


# Strategies are made once: making one takes longer than drawing from it.
perhaps_amounts = st.none() | amounts
amount_ranges, year_ranges = ranges(), ranges(st.floats(min_value=0, max_value=20))
chances = shares | ranges(shares)
stays = st.none() | lengths | ranges(lengths)
slots = st.sampled_from([None, None, "own", "shared_slot"])
fittings = st.sampled_from(["factory-only", "retrofittable"])
visits = st.sampled_from([None, *VISITS])
loadings = st.dictionaries(st.sampled_from(["auto", "bigger_parts"]), shares.map(half))


@st.composite
def options(draw: st.DrawFn, name: str, earlier: tuple[str, ...]) -> Option:
    """One option; it may refer to those before it."""
    others = st.lists(st.sampled_from(earlier), max_size=2, unique=True) if earlier else st.just([])
    standard = draw(st.integers(0, 4)) == 0
    eased_by = draw(st.sampled_from((None, *earlier)))
    slot = draw(slots)
    raw: dict[str, Any] = {
        "option": name,
        "name": draw(names),
        "slot": f"slot-{name}" if slot == "own" else slot,
        "price": draw(amounts),
        "later_price": draw(perhaps_amounts),
        "standard": standard,
        "delete_credit": draw(perhaps_amounts) if standard else None,
        "fitting": draw(fittings),
        "multiplier": draw(amount_ranges),
        "eased_by": eased_by,
        "eased": draw(amount_ranges) if eased_by else None,
        "call_out": draw(visits),
        "downtime_days": draw(quantities),
        "upkeep_per_year": draw(amounts),
        "resale_share": draw(shares),
        "requires": tuple(draw(others)),
        "excludes": tuple(draw(others)) if draw(st.integers(0, 3)) == 0 else (),
        "kva": draw(quantities),
        "note": draw(notes),
    }
    return Option(**raw)


@st.composite
def streams(draw: st.DrawFn, name: str, known: tuple[str, ...]) -> Stream:
    """One stream of work with up to two ways."""
    ways = st.builds(
        Way,
        options=st.lists(st.sampled_from(known), max_size=2, unique=True).map(tuple),
        share=shares,
    )
    return Stream(
        id=name,
        name=draw(texts),
        chance=draw(chances),
        years=draw(year_ranges),
        margin=draw(amount_ranges),
        growth=draw(st.floats(min_value=-0.9, max_value=1)),
        swing=draw(st.floats(min_value=0, max_value=1)),
        lasts_years=draw(stays),
        fallback=draw(shares),
        drivers=draw(loadings),
        way=tuple(draw(st.lists(ways, max_size=2))),
    )


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """A case that fits together."""
    known = tuple(draw(st.lists(st.sampled_from(IDS), min_size=1, max_size=4, unique=True)))
    listed = tuple(draw(options(name, known[:place])) for place, name in enumerate(known))
    pairs = st.lists(st.sampled_from(known), min_size=2, max_size=3, unique=True)
    bundled = [draw(pairs)] if len(known) > 1 and draw(st.booleans()) else []
    some = st.lists(st.sampled_from(known), max_size=2, unique=True)
    candidate = draw(some.filter(lambda names: together(listed, names)))
    work = draw(st.lists(st.sampled_from(["robot-work", "night", "s_3"]), max_size=3, unique=True))
    case = Case(
        name=NAME,
        machine=draw(machines()),
        dates=draw(dates()),
        call_outs={visit: draw(amounts) for visit in VISITS},
        bundles=tuple(Bundle(id="b", options=tuple(b), discount=draw(amounts)) for b in bundled),
        packages=(Package(id="p", name=draw(texts), options=tuple(candidate)),),
        catalogue=Catalogue(options=listed),
        growth=Growth(
            horizon_years=draw(st.integers(1, 20)) * 1.0,
            discount_rate=draw(st.floats(min_value=-0.4, max_value=1)),
            seed=draw(st.integers(0, 2**63 - 1)),
            driver=(Driver(id="auto", nudge=draw(st.floats(-3, 3))), Driver(id="bigger_parts")),
            stream=tuple(draw(streams(name, known)) for name in work),
        ),
    )
    assume(not consistency.faults(case))
    return case


def together(listed: Collection[Option], names: Collection[str]) -> bool:
    """Whether options bring all they require and exclude none of each other."""
    chosen = [option for option in listed if option.option in names]
    return all(
        set(option.requires) <= set(names) and set(option.excludes).isdisjoint(names)
        for option in chosen
    )


def machines() -> st.SearchStrategy[Machine]:
    """A machine."""
    return st.builds(
        Machine,
        name=names,
        kind=texts,
        base_price=amounts.filter(lambda price: price >= 1.0),
        currency=st.sampled_from(["EUR", "USD", "JPY"]),
        margin_per_day=amounts,
        resale_share=shares,
        kept_years=stays,
    )


@st.composite
def dates(draw: st.DrawFn) -> Dates:
    """Dates with first chips reckoned, told, or as a lead."""
    raw: dict[str, Any] = {"order": draw(st.dates(date(1990, 1, 1), date(2060, 1, 1)))}
    raw |= {"build_weeks": draw(st.floats(0, 100)), "commission_days": draw(st.floats(0, 60))}
    how = draw(st.integers(0, 2))
    if how == 1:
        raw["lead"] = draw(st.floats(0, 3))
    if how == 2:
        raw["first_chips"] = draw(st.dates(raw["order"], date(2100, 12, 31)))
    return Dates(**raw)
