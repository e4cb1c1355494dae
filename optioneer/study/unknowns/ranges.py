"""The figures of a case that nobody knows for sure, and how far each of them may be off."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from optioneer.errors import RequestError, did_you_mean
from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.fact import Triangular
from optioneer.model.growth import Driver, Growth, Stream
from optioneer.model.machine import Hours
from optioneer.study.worth.figures import Figure, What, figure_of


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
        Of the discount rate and the growth of margins.
    years
        Of the horizon and of the years that the machine is kept [years].
    wait
        Of the years until work comes and the years that it lasts [years].
    fallback
        Of the share of a margin that is kept without a way; ranges end at 0 and 1.
    rough
        Of the days that a retrofit takes and of swings, as a part of them.
    """

    nudge: float = 1.0
    chance: float = 0.1
    part: float = 0.2
    rate: float = 0.02
    years: float = 2.0
    wait: float = 1.0
    fallback: float = 0.2
    rough: float = 0.5


WHY: dict[What, str] = {
    "nudge": "one standard deviation: two years in three trade in general is within it",
    "chance": "who guesses a chance is seldom nearer than a tenth",
    "margin": "a fifth: as far as quotes for one part differ from shop to shop",
    "years": "plans of customers slip by a year",
    "lasts-years": "parts run out a year sooner or later; never told: at half the horizon",
    "fallback": "nobody has measured what goes by hand or is sent out",
    "growth": "as far as prices and wages drift apart in a year",
    "swing": "from few years it is known to a half",
    "hours": "a fifth: times a part are estimates before the first lot",
    "multiplier": "a fifth: retrofits are quoted only when they are asked for",
    "later-price": "a fifth: lists change, and discounts are given with an order only",
    "downtime-days": "half of it: the machine waits for parts, fitter and trial cuts",
    "attended": "a fifth: people leave and are hard to find",
    "beyond": "a fifth: overtime and work sent out are priced when they are needed",
    "kept-years": "two years; never told: sold at half the horizon",
    "discount-rate": "two points: as far as lending rates move between two purchases",
    "horizon": "two years: how far to look ahead is a choice",
}
"""Why figures of each kind may be so far off: common practice, no source."""

TOLD = "the range that the case tells"
"""Why a figure that is told as a range may be as far off as that."""


@dataclass(frozen=True)
class Ranged:
    """A figure with the range in which it may be.

    Parameters
    ----------
    here
        What the case says.
    low, high
        Ends of the range, ``low <= here <= high``.
    """

    figure: Figure
    here: float
    low: float
    high: float
    why: str = ""

    @property
    def told(self) -> dict[str, Any]:
        """The figure with its range, in the names of answers."""
        figure, ends = self.figure, {"low": self.low, "high": self.high}
        return {"what": figure.what, "name": figure.name, "here": self.here, **ends}

    def at(self, share: float) -> float:
        """The value that lies `share` of the way from `low` to `high`."""
        return self.low + share * (self.high - self.low)


def ranged_figures(
    case: Case, spreads: Spreads | None = None, only: Sequence[str] = ()
) -> tuple[Ranged, ...]:
    """The figures of `case` that may be off, in one order: growth, retrofits, money.

    Parameters
    ----------
    spreads
        How far; none: as usual. A chance, life or stay that is told as a range is varied over it.
    only
        Ids of drivers, streams or options, or kinds of figures, to keep to; all when empty.

    Raises
    ------
    RequestError
        If a spread is not allowed, a name is unknown, or nothing is left that may be off.
    """
    found = every_ranged(case, spreads)
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


def every_ranged(case: Case, spreads: Spreads | None = None) -> tuple[Ranged, ...]:
    """All figures of `case` that may be off, be it none; as `ranged_figures`."""
    spreads = Spreads() if spreads is None else spreads
    _check(spreads)
    return tuple(each for each in _every(case, spreads) if each.low < each.high)


WIDEST = {
    "nudge": 20.0,
    "chance": 1.0,
    "part": math.inf,
    "rate": 1.5,
    "years": 60.0,
    "wait": 60.0,
    "fallback": 1.0,
    "rough": math.inf,
}
"""Wider than this no figure can be apart that the model allows at both ends."""

LEAST = -0.99
"""Growth that a range goes down to: a margin cannot lose all of itself in a year [1/year]."""

PARTS = ("part", "rough")
"""Spreads that are a part of a figure."""


def _check(spreads: Spreads) -> None:
    for name, value in vars(spreads).items():
        if not 0 <= value <= WIDEST[name] or math.isinf(value):
            raise RequestError(
                f"A spread of {value:g} ({name}) is not allowed. Use 0 to {WIDEST[name]:g}."
            )
        if name in PARTS and value >= 1:
            raise RequestError(
                f"A spread of {value:g} would make figures nothing or less. "
                "Use a part below 1, e.g. 0.2 for a fifth up and down."
            )


def _every(case: Case, spreads: Spreads) -> Iterator[Ranged]:
    growth = case.growth
    for driver in growth.driver:
        yield _around(case, Figure("nudge", driver.id), spreads.nudge, _bounds(Driver, "nudge"))
    for stream in growth.stream:
        yield from _of_stream(case, stream, spreads)
    for option in case.catalogue.options:
        if option.retrofittable and option.multiplier is not None:
            yield from _of_option(case, option, spreads)
    if case.hours is not None and any(map(case.counts_hours_of, growth.stream)):
        yield _scaled(case, Figure("attended"), spreads.part, _bounds(Hours, "attended")[1])
        if case.hours.beyond is not None:
            yield _scaled(case, Figure("beyond"), spreads.part)
    yield _stay(case, spreads)
    rate = _bounds(Growth, "discount_rate")
    least = min(0.0, growth.discount_rate)  # nobody expects money to lose its worth so far
    yield _around(case, Figure("discount-rate"), spreads.rate, (least, rate[1]))
    yield _whole_periods(growth, spreads.years)


def _of_stream(case: Case, stream: Stream, spreads: Spreads) -> Iterator[Ranged]:
    def figure(what: What) -> Figure:
        return Figure(what, stream.id)

    yield _told(figure("chance"), stream.chance) or _around(
        case, figure("chance"), spreads.chance, _bounds(Stream, "chance")
    )
    yield _scaled(case, figure("margin"), spreads.part)
    if stream.years.high > 0.0:  # else it is there when the machine is
        yield _around(case, figure("years"), spreads.wait, (0.0, math.inf))
    yield _life(case, stream, spreads)
    bare = max([way.share for way in stream.way if not way.options], default=0.0)
    if stream.way and stream.fallback + spreads.fallback > bare:  # else it never counts
        yield _around(case, figure("fallback"), spreads.fallback, _bounds(Stream, "fallback"))
    if stream.growth != 0.0:
        fastest = _bounds(Stream, "growth")[1]
        yield _around(case, figure("growth"), spreads.rate, (min(stream.growth, LEAST), fastest))
    yield _scaled(case, figure("swing"), spreads.rough, _bounds(Stream, "swing")[1])
    if case.counts_hours_of(stream):
        yield _scaled(case, figure("hours"), spreads.part, _bounds(Stream, "hours")[1])


def _of_option(case: Case, option: Option, spreads: Spreads) -> Iterator[Ranged]:
    yield _scaled(case, Figure("multiplier", option.option), spreads.part)
    yield _scaled(case, Figure("later-price", option.option), spreads.part)
    yield _scaled(case, Figure("downtime-days", option.option), spreads.rough)


def _life(case: Case, stream: Stream, spreads: Spreads) -> Ranged:
    figure = Figure("lasts-years", stream.id)
    return _told(figure, stream.lasts_years) or _lasting(
        case, figure, spreads.wait, told=stream.lasts_years is not None
    )


def _stay(case: Case, spreads: Spreads) -> Ranged:
    figure, kept = Figure("kept-years"), case.machine.kept_years
    return _told(figure, kept) or _lasting(case, figure, spreads.years, told=kept is not None)


def _told(figure: Figure, value: float | Triangular | None) -> Ranged | None:
    """The range of a figure that the case tells as one; none where it does not."""
    if not isinstance(value, Triangular) or value.certain:
        return None
    known = Figure(figure.what, figure.name, known=True)
    return Ranged(known, value.likely, value.low, value.high, TOLD)


def _lasting(case: Case, figure: Figure, by: float, *, told: bool) -> Ranged:
    """How long work lasts or the machine stays: at least a period, at most to the horizon."""
    here, horizon = figure_of(case, figure), case.growth.horizon_years
    least = 1.0 / case.growth.periods_per_year
    if told:
        low, high = max(here - by, min(least, here)), min(here + by, max(horizon, here))
    else:
        low, high = (here if by == 0 else max(here / 2, least)), here
    return Ranged(figure, here, round(low, 12), round(high, 12), WHY[figure.what])


def _whole_periods(growth: Growth, years: float) -> Ranged:
    """The horizon: whole periods, at least one."""
    a_year, here = growth.periods_per_year, growth.horizon_years
    by, most = round(years * a_year), _bounds(Growth, "horizon_years")[1] * a_year
    low, high = max(growth.periods - by, 1), min(growth.periods + by, int(most))
    return Ranged(Figure("horizon"), here, low / a_year, high / a_year, WHY["horizon"])


def _bounds(fact: Any, field: str) -> tuple[float, float]:
    """What the model allows; a bound that is excluded is none here."""
    low, high = -math.inf, math.inf
    for rule in fact.model_fields[field].metadata:
        low, high = max(low, getattr(rule, "ge", low)), min(high, getattr(rule, "le", high))
    return low, high


def _around(case: Case, figure: Figure, by: float, within: tuple[float, float]) -> Ranged:
    here = figure_of(case, figure)
    low, high = max(here - by, within[0]), min(here + by, within[1])
    return Ranged(figure, here, round(low, 12), round(high, 12), WHY[figure.what])


def _scaled(case: Case, figure: Figure, part: float, most: float = math.inf) -> Ranged:
    here = figure_of(case, figure)
    high = min(here * (1.0 + part), most)
    return Ranged(figure, here, here * (1.0 - part), high, WHY[figure.what])
