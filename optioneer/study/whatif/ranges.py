"""The figures of a case that nobody knows for sure, and how far each of them may be off."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from optioneer.errors import RequestError, did_you_mean
from optioneer.model.case import Case
from optioneer.model.growth import Driver, Growth, Stream
from optioneer.study.worth.changes import Figure, figure_of


@dataclass(frozen=True)
class Spreads:
    """How far figures may be off, up and down; a figure with 0 is left as it is.

    Parameters
    ----------
    nudge
        Of every driver [standard deviations].
    chance
        Of every stream; ranges end at 0 and 1.
    part
        Of every stream's margin, every option's retrofit multiplier and price later, as a part of
        it.
    rate
        Of the discount rate.
    years
        Of the horizon [years].
    """

    nudge: float = 1.0
    chance: float = 0.1
    part: float = 0.2
    rate: float = 0.02
    years: float = 2.0


@dataclass(frozen=True)
class Ranged:
    """A figure with the range in which it may be.

    Parameters
    ----------
    figure
        Which.
    here
        What the case says.
    low, high
        Ends of the range, ``low <= here <= high``.
    """

    figure: Figure
    here: float
    low: float
    high: float

    def at(self, share: float) -> float:
        """The value that lies `share` of the way from `low` to `high`."""
        return self.low + share * (self.high - self.low)


def ranged_figures(
    case: Case, spreads: Spreads | None = None, only: Sequence[str] = ()
) -> tuple[Ranged, ...]:
    """The figures of `case` that may be off, in one order: growth, retrofits, money.

    Parameters
    ----------
    case
        A checked case.
    spreads
        How far; none: as usual.
    only
        Ids of drivers, streams or options, or kinds of figures, to keep to; all when empty.

    Raises
    ------
    RequestError
        If a spread is not allowed, a name is unknown, or nothing is left that may be off.
    """
    spreads = Spreads() if spreads is None else spreads
    _check(spreads)
    found = tuple(each for each in _every(case, spreads) if each.low < each.high)
    known = {name for each in found for name in (each.figure.what, each.figure.name) if name}
    for name in only:
        if name not in known:
            meant = did_you_mean(name, sorted(known))
            raise RequestError(f"--only: '{name}' is no figure that is varied. {meant}")
    kept = tuple(
        each for each in found if not only or {each.figure.what, each.figure.name} & set(only)
    )
    if not kept:
        raise RequestError("Nothing is varied: all ranges are nothing wide.")
    return kept


WIDEST = {"nudge": 20.0, "chance": 1.0, "part": math.inf, "rate": 1.5, "years": 60.0}
"""Wider than this no figure can be apart that the model allows at both ends."""


def _check(spreads: Spreads) -> None:
    for name, value in vars(spreads).items():
        if not 0 <= value <= WIDEST[name] or math.isinf(value):
            raise RequestError(
                f"A spread of {value:g} ({name}) is not allowed. Use 0 to {WIDEST[name]:g}."
            )
    if spreads.part >= 1:
        raise RequestError(
            f"A spread of {spreads.part:g} would make figures nothing or less. "
            "Use a part below 1, e.g. 0.2 for a fifth up and down."
        )


def _every(case: Case, spreads: Spreads) -> Iterator[Ranged]:
    growth = case.growth
    for driver in growth.driver:
        yield _around(case, Figure("nudge", driver.id), spreads.nudge, _bounds(Driver, "nudge"))
    for stream in growth.stream:
        yield _around(case, Figure("chance", stream.id), spreads.chance, _bounds(Stream, "chance"))
        yield _scaled(case, Figure("margin", stream.id), spreads.part)
    for option in case.catalogue.options:
        if option.retrofittable and option.multiplier is not None:
            yield _scaled(case, Figure("multiplier", option.option), spreads.part)
            yield _scaled(case, Figure("later-price", option.option), spreads.part)
    rate = _bounds(Growth, "discount_rate")
    least = min(0.0, growth.discount_rate)  # nobody expects money to lose its worth so far
    yield _around(case, Figure("discount-rate"), spreads.rate, (least, rate[1]))
    yield _whole_periods(growth, spreads.years)


def _whole_periods(growth: Growth, years: float) -> Ranged:
    """The horizon: whole periods, at least one."""
    a_year, here = growth.periods_per_year, growth.horizon_years
    by, most = round(years * a_year), _bounds(Growth, "horizon_years")[1] * a_year
    low, high = max(growth.periods - by, 1), min(growth.periods + by, int(most))
    return Ranged(Figure("horizon"), here, low / a_year, high / a_year)


def _bounds(fact: Any, field: str) -> tuple[float, float]:
    """What the model allows; a bound that is excluded is none here."""
    low, high = -math.inf, math.inf
    for rule in fact.model_fields[field].metadata:
        low, high = max(low, getattr(rule, "ge", low)), min(high, getattr(rule, "le", high))
    return low, high


def _around(case: Case, figure: Figure, by: float, within: tuple[float, float]) -> Ranged:
    here = figure_of(case, figure)
    low, high = max(here - by, within[0]), min(here + by, within[1])
    return Ranged(figure, here, round(low, 12), round(high, 12))


def _scaled(case: Case, figure: Figure, part: float) -> Ranged:
    here = figure_of(case, figure)
    return Ranged(figure, here, here * (1.0 - part), here * (1.0 + part))
