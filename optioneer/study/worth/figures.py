"""Figures of a case that can be other than they are: their names, reading and setting them."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeVar, get_args

from pydantic import ValidationError

from optioneer.errors import RequestError, did_you_mean
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.fact import Fact, Triangular, triangular
from optioneer.model.growth import Driver, Stream

What = Literal[
    "nudge",
    "chance",
    "margin",
    "years",
    "lasts-years",
    "fallback",
    "growth",
    "swing",
    "hours",
    "multiplier",
    "price",
    "later-price",
    "downtime-days",
    "attended",
    "beyond",
    "kept-years",
    "horizon",
    "discount-rate",
]
"""A figure that can be changed: of a driver, stream or option, or of the case."""

FIGURES: tuple[What, ...] = get_args(What)
"""All figures that can be changed, in one order."""

KINDS: dict[What, str] = {
    "nudge": "driver",
    "chance": "stream",
    "margin": "stream",
    "years": "stream",
    "lasts-years": "stream",
    "fallback": "stream",
    "growth": "stream",
    "swing": "stream",
    "hours": "stream",
    "multiplier": "option",
    "price": "option",
    "later-price": "option",
    "downtime-days": "option",
}
"""What each figure belongs to; the others belong to the case."""

AnyFact = TypeVar("AnyFact", bound=Fact)
Owner = Case | Driver | Stream | Option


@dataclass(frozen=True)
class Figure:
    """One figure of a case that can be changed.

    Parameters
    ----------
    what
        Which figure, of three figures the likeliest: the nudge of a driver; of a stream its
        chance, yearly margin, years to its arrival, years that it lasts, fallback, growth, swing or
        most hours; of an option its retrofit multiplier, its price with the order, what it lists
        for later, or the days that fitting it takes; hours attended and what one beyond costs; the
        years that the machine is kept; horizon; discount rate.
    name
        Id of the driver, stream or option; empty for figures of the case.
    known
        Whether a chance, life or stay that is told as a range is that one value once set; else the
        whole range moves.
    """

    what: What
    name: str = ""
    known: bool = False

    def __str__(self) -> str:
        return f"{self.what} {self.name}".rstrip()


def remade(fact: AnyFact, **changes: Any) -> AnyFact:
    """`fact` with changes that are checked."""
    return type(fact).model_validate({**dict(fact), **changes})


def figure_of(case: Case, figure: Figure) -> float:
    """What a figure of `case` is now; a life or stay that is not told ends with the horizon.

    Raises
    ------
    RequestError
        If there is no such driver, stream, option, or the option cannot be fitted later.
    """
    owner = owner_of(case, figure)
    if isinstance(owner, Option) and figure.what in _OF_RETROFITS:
        _must_be_retrofittable(owner, figure)
    if figure.what in {"attended", "beyond"}:
        return _hour_figure(case, figure)
    value = _READERS[figure.what](owner)
    return case.growth.horizon_years if value is None else float(value)


_OF_RETROFITS: Mapping[str, str] = {
    "multiplier": "retrofit multiplier",
    "later-price": "price later",
    "downtime-days": "standstill for fitting it",
}
"""Figures that only an option has which can be fitted later."""


def _must_be_retrofittable(option: Option, figure: Figure) -> None:
    if option.multiplier is None or not option.retrofittable:
        lacks = _OF_RETROFITS[figure.what]
        raise RequestError(f"{figure}: the option is factory-only and has no {lacks}.")


def _hour_figure(case: Case, figure: Figure) -> float:
    found = None if case.hours is None else getattr(case.hours, figure.what)
    if found is None:
        lacks = "limits no hours" if case.hours is None else "has no hours beyond those attended"
        raise RequestError(f"{figure.what}: the case {lacks}.")
    return float(found)


def most_hours(stream: Stream) -> float:
    """Hours that the whole of a stream takes by the way that takes most [hours/year]."""
    return max([stream.hours, *(way.hours or 0.0 for way in stream.way)])


def _hours_at(stream: Stream, most: float) -> dict[str, Any]:
    """Hours of a stream and all its ways in proportion, so that the most are `most`."""
    before = most_hours(stream)
    if before == 0.0:
        return {"hours": most}
    ways = tuple(
        way if way.hours is None else remade(way, hours=way.hours * (most / before))
        for way in stream.way
    )
    return {"hours": stream.hours * (most / before), "way": ways}


def _likeliest(years: float | Triangular | None) -> float | None:
    return None if years is None else triangular(years).likely


_READERS: dict[What, Callable[[Any], float | None]] = {
    "nudge": lambda driver: driver.nudge,
    "chance": lambda stream: stream.likely_chance,
    "margin": lambda stream: stream.margin.likely,
    "years": lambda stream: stream.years.likely,
    "lasts-years": lambda stream: _likeliest(stream.lasts_years),
    "fallback": lambda stream: stream.fallback,
    "growth": lambda stream: stream.growth,
    "swing": lambda stream: stream.swing,
    "hours": most_hours,
    "multiplier": lambda option: option.multiplier.likely,
    "price": lambda option: option.price,
    "later-price": lambda option: option.listed_later,
    "downtime-days": lambda option: option.downtime_days,
    "kept-years": lambda case: _likeliest(case.machine.kept_years),
    "horizon": lambda case: case.growth.horizon_years,
    "discount-rate": lambda case: case.growth.discount_rate,
}


def with_figure(case: Case, figure: Figure, value: float) -> Case:
    """`case` with one figure set; not checked as a whole.

    Low, likely and high of margins, multipliers, lives and stays are scaled together; those of
    arrivals and chances move as far, within what is possible.

    Raises
    ------
    RequestError
        If there is no such figure or the value is outside what the model allows.
    """
    figure_of(case, figure)
    try:
        return _set(case, figure, value)
    except ValidationError as error:
        first = error.errors()[0]
        told = first.get("ctx", {}).get("allowed") or f"{first['msg']}."
        raise RequestError(f"{figure}: {value:.12g} is not allowed. {told}") from error


def owner_of(case: Case, figure: Figure) -> Owner:
    """The driver, stream or option that has a figure, or the case itself.

    Raises
    ------
    RequestError
        If there is none of that name.
    """
    kind = KINDS.get(figure.what)
    if kind is None:
        return case
    known: dict[str, Mapping[str, Driver | Stream | Option]] = {
        "driver": {driver.id: driver for driver in case.growth.driver},
        "stream": {stream.id: stream for stream in case.growth.stream},
        "option": case.catalogue.by_id,
    }
    owner = known[kind].get(figure.name)
    if owner is None:
        meant = did_you_mean(figure.name, known[kind])
        raise RequestError(f"{figure.what}: there is no {kind} '{figure.name}'. {meant}")
    return owner


def _set(case: Case, figure: Figure, value: float) -> Case:
    kind = KINDS.get(figure.what)
    if kind is None:
        return _SET_IN_CASE[figure.what](case, figure, value)
    if kind == "option":
        return _with_option(case, figure, value)
    members = getattr(case.growth, kind)
    return _with_growth(
        case,
        **{
            kind: tuple(
                remade(each, **_CHANGES[figure.what](each, figure, value))
                if each.id == figure.name
                else each
                for each in members
            )
        },
    )


def _with_growth(case: Case, **changes: Any) -> Case:
    return case.model_copy(update={"growth": remade(case.growth, **changes)})


def _with_option(case: Case, figure: Figure, value: float) -> Case:
    change = _OPTIONS[figure.what]
    options = (
        change(each, figure, value) if each.option == figure.name else each
        for each in case.catalogue.options
    )
    return case.model_copy(update={"catalogue": Catalogue(options=tuple(options))})


def _with_stay(case: Case, figure: Figure, value: float) -> Case:
    kept = _lasting(case.machine.kept_years, figure, value)
    return case.model_copy(update={"machine": remade(case.machine, kept_years=kept)})


def _with_hours(case: Case, figure: Figure, value: float) -> Case:
    if case.hours is None:
        raise RequestError(f"{figure.what}: the case limits no hours.")
    return case.model_copy(update={"hours": remade(case.hours, **{figure.what: value})})


_SET_IN_CASE: dict[What, Callable[[Case, Figure, float], Case]] = {
    "attended": _with_hours,
    "beyond": _with_hours,
    "kept-years": _with_stay,
    "horizon": lambda case, _, value: _with_growth(case, horizon_years=value),
    "discount-rate": lambda case, _, value: _with_growth(case, discount_rate=value),
}

_CHANGES: dict[What, Callable[[Any, Figure, float], dict[str, Any]]] = {
    "nudge": lambda _, __, value: {"nudge": value},
    "chance": lambda stream, figure, value: {"chance": _chance_at(stream.chance, figure, value)},
    "margin": lambda stream, _, value: {"margin": _likely_at(stream.margin, value)},
    "years": lambda stream, _, value: {"years": _moved_years(stream.years, value)},
    "lasts-years": lambda stream, figure, value: {
        "lasts_years": _lasting(stream.lasts_years, figure, value)
    },
    "fallback": lambda _, __, value: {"fallback": value},
    "growth": lambda _, __, value: {"growth": value},
    "swing": lambda _, __, value: {"swing": value},
    "hours": lambda stream, _, value: _hours_at(stream, value),
}
"""What changes in a driver or stream."""


def _chance_at(chance: float | Triangular, figure: Figure, likely: float) -> float | Triangular:
    """A chance whose likeliest value is `likely`; all three figures move, within 0 and 1."""
    if figure.known or not isinstance(chance, Triangular) or not 0.0 <= likely <= 1.0:
        return likely
    shift = likely - chance.likely
    low, high = (min(max(end + shift, 0.0), 1.0) for end in (chance.low, chance.high))
    return Triangular(low=low, likely=likely, high=high)


def _moved_years(years: Triangular, likely: float) -> Triangular:
    """Arrival years moved so that the likeliest is `likely`; nothing comes before first chips."""
    shift = likely - years.likely
    return Triangular(low=max(years.low + shift, 0.0), likely=likely, high=years.high + shift)


def _lasting(years: float | Triangular | None, figure: Figure, likely: float) -> float | Triangular:
    """How long something lasts, likeliest `likely`; what is told as a range is scaled."""
    if figure.known or not isinstance(years, Triangular):
        return likely
    return _likely_at(years, likely)


def _likely_at(amount: Triangular, likely: float) -> Triangular:
    """`amount` scaled so that its likeliest value is `likely`."""
    if amount.likely > 0.0:
        return times(amount, likely / amount.likely)
    return Triangular(low=likely, likely=likely, high=max(likely, amount.high))


def times(amount: Triangular, factor: float) -> Triangular:
    """`amount` times a factor."""
    return Triangular(
        low=amount.low * factor, likely=amount.likely * factor, high=amount.high * factor
    )


def with_multiplier_times(option: Option, factor: float) -> Option:
    """`option` with its retrofit multiplier times `factor`, the eased one too."""
    found = {"multiplier": option.multiplier, "eased": option.eased}
    changes = {key: None if t is None else times(t, factor) for key, t in found.items()}
    return option.model_copy(update=changes)


def _with_multiplier(option: Option, figure: Figure, value: float) -> Option:
    before = option.multiplier
    if before is not None and before.likely > 0.0:
        return with_multiplier_times(option, value / before.likely)
    raise RequestError(f"{figure}: its likeliest multiplier is 0, which cannot be scaled.")


_OPTIONS: dict[What, Callable[[Option, Figure, float], Option]] = {
    "multiplier": _with_multiplier,
    # The price with the order; what the option lists for later stays.
    "price": lambda option, _, value: option.priced(value),
    "later-price": lambda option, _, value: remade(option, later_price=value),
    "downtime-days": lambda option, _, value: remade(option, downtime_days=value),
}
