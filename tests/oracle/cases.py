"""Hand-made cases in which one feature decides. All figures are invented."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.fact import Triangular
from optioneer.model.growth import Driver, Growth, Stream, Way
from optioneer.model.machine import Bundle, Dates, Machine


def certain(value: float) -> Triangular:
    """A quantity without doubt."""
    return Triangular(low=value, likely=value, high=value)


def between(low: float, likely: float, high: float) -> Triangular:
    """A triangular quantity."""
    return Triangular(low=low, likely=likely, high=high)


def option(name: str, price: float, multiplier: float | None = None, **more: Any) -> Option:
    """An option; retrofittable when it has a multiplier. It needs no visit unless told."""
    row: dict[str, Any] = {
        "option": name,
        "name": name,
        "price": price,
        "call_out": None,
        "fitting": "factory-only",
    }
    if multiplier is not None:
        row |= {"fitting": "retrofittable", "multiplier": certain(multiplier)}
    return Option(**row | more)


def stream(
    name: str, years: Triangular, margin: float, needs: Sequence[str], **more: Any
) -> Stream:
    """A work stream that comes for certain unless told, with one way."""
    ways = (Way(options=tuple(needs)),)
    return Stream(
        **{"id": name, "chance": 1.0, "years": years, "margin": certain(margin), "way": ways} | more
    )


def case_of(
    options: Sequence[Option],
    streams: Sequence[Stream],
    *,
    growth: Mapping[str, Any] | None = None,
    call_outs: Mapping[str, float] | None = None,
    bundles: Sequence[Bundle] = (),
    lead: float = 0.0,
    **machine: Any,
) -> Case:
    """A case on a bare machine of 100,000, five yearly periods at 10 % unless told."""
    horizon = {"horizon_years": 5.0, "periods_per_year": 1, "discount_rate": 0.1}
    bare = {"name": "A machine", "kind": "mill", "base_price": 100e3, "currency": "USD"}
    return Case(
        name="hand-made",
        machine=Machine(**bare | {"margin_per_day": 1000.0} | machine),
        dates=Dates(order=date(2027, 2, 1), lead=lead),
        call_outs={"default": 0.0, **(call_outs or {})},
        bundles=tuple(bundles),
        catalogue=Catalogue(options=tuple(options)),
        growth=Growth(**horizon | {"stream": tuple(streams)} | dict(growth or {})),
    )


def anticipation() -> Case:
    """Work that is certain in two years: the probe is fitted a year before, not ordered."""
    probe = option("probe", 20e3, 1.02, upkeep_per_year=500.0)
    return case_of([probe], [stream("work", certain(2.5), 15e3, ["probe"])])


def waiting() -> Case:
    """Work that comes one time in four: waiting to see beats ordering and never having it."""
    probe = option("probe", 20e3, 1.5)
    work = stream("work", between(0.0, 1.0, 4.0), 20e3, ["probe"], chance=0.25)
    return case_of([probe], [work], growth={"horizon_years": 6.0})


def shared_visit(visit: str = "team") -> Case:
    """Two retrofits worth one visit but not two; with visit `default` the slots are strangers."""
    options = [option(name, 10e3, 1.0, call_out=visit, upkeep_per_year=3e3) for name in "ab"]
    streams = [stream(f"work-{n}", between(2.1, 2.5, 2.9), 10.8e3, [n], chance=0.6) for n in "ab"]
    return case_of(options, streams, call_outs={"team": 4e3, "default": 4e3})


def prepared() -> Case:
    """A robot may come: being prepared now eases completing later."""
    options = [
        option("robot-prepared", 4e3, 2.0, slot="robot"),
        option(
            "robot-complete", 40e3, 1.9, slot="robot", eased_by="robot-prepared", eased=certain(1.0)
        ),
    ]
    work = stream("lights-out", between(0.5, 2.0, 4.5), 60e3, ["robot-complete"], chance=0.4)
    return case_of(options, [work], growth={"horizon_years": 7.0})


def blocked(excludes: Sequence[str] = ("gantry",)) -> Case:
    """The cheap chuck would do today but blocks the gantry; the dear one leaves it open."""
    options = [
        option("chuck-tall", 8e3, slot="chuck", excludes=tuple(excludes)),
        option("chuck-flat", 10e3, slot="chuck"),
        option("gantry", 30e3, 1.2),
    ]
    chuck = (Way(options=("chuck-tall",)), Way(options=("chuck-flat",)))
    streams = [
        stream("today", certain(0.5), 12e3, [], way=chuck),
        stream("series", between(0.5, 1.5, 3.5), 50e3, ["gantry"], chance=0.3),
    ]
    return case_of(options, streams)


def bundled(discount: float = 6e3) -> Case:
    """Neither of two options earns its price; together at a discount they do."""
    pair = Bundle(id="pair", options=("cooling", "probe"), discount=discount)
    options = [option("cooling", 15e3), option("probe", 12e3)]
    streams = [
        stream("hot", certain(0.5), 3400.0, ["cooling"]),
        stream("tight", certain(0.5), 2700.0, ["probe"]),
    ]
    return case_of(options, streams, bundles=[pair])


def driven(loading: float = 0.9) -> Case:
    """Early work makes later work likelier, so that the sight of it is fitted for in time."""
    options = [option("sensor", 15e3, 1.3)]
    about = {"drivers": {"automation": loading}, "chance": 0.3}
    streams = [
        stream("first", between(0.1, 0.5, 0.9), 1e3, [], **about),
        stream("second", between(2.1, 2.5, 2.9), 26e3, ["sensor"], lasts_years=2.0, **about),
    ]
    drivers = (Driver(id="automation"),)
    return case_of(options, streams, growth={"driver": drivers, "discount_rate": 0.05})


def left_off() -> Case:
    """A standard item with a credit is left off, and bought later at its list price if need be."""
    conveyor = option("conveyor", 10e3, 1.5, standard=True, delete_credit=7e3, call_out="default")
    work = stream("chips", between(0.2, 1.0, 4.8), 14e3, ["conveyor"], chance=0.25, fallback=0.3)
    return case_of([conveyor], [work], call_outs={"default": 500.0}, lead=0.5)


CASES = {
    case.__name__: case
    for case in (anticipation, waiting, shared_visit, prepared, blocked, bundled, driven, left_off)
}
"""The cases by name, each a function of no argument."""


def two_visits() -> Case:
    """Two options of which one waits: three streams, one of them for both."""
    options = [option("probe", 12e3, 1.4), option("turret", 18e3)]
    streams = [
        stream("first", between(0.0, 1.0, 3.0), 7e3, ["probe"], chance=0.5),
        stream("second", between(0.5, 2.0, 4.0), 9e3, ["turret"], chance=0.6),
    ]
    return case_of(options, streams)
