"""Figures that are not as in the case: their names, and the case once they are changed."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, TypeVar, get_args

from pydantic import Field, ValidationError

from optioneer.errors import RequestError, did_you_mean
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.checks.consistency import checked
from optioneer.model.fact import Fact, Triangular
from optioneer.model.growth import Driver, Stream
from optioneer.study.answer import Answer

What = Literal[
    "nudge",
    "chance",
    "margin",
    "multiplier",
    "price",
    "later-price",
    "horizon",
    "discount-rate",
]
"""A figure that can be changed: of a driver, stream or option, or of the case."""


class Change(Answer):
    """One figure that is not as in the case."""

    what: What
    name: str = Field(description="Id of the driver, stream or option; empty for the others.")
    before: float = Field(description="As in the case; of a triangular figure the likeliest.")
    after: float


FIGURES: tuple[What, ...] = get_args(What)
"""All figures that can be changed, in one order."""

KINDS: dict[What, str] = {
    "nudge": "driver",
    "chance": "stream",
    "margin": "stream",
    "multiplier": "option",
    "price": "option",
    "later-price": "option",
}
"""What each figure belongs to; the others belong to the case."""

AnyFact = TypeVar("AnyFact", bound=Fact)


def _remade(fact: AnyFact, **changes: Any) -> AnyFact:
    """`fact` with changes that are checked."""
    return type(fact).model_validate({**dict(fact), **changes})


@dataclass(frozen=True)
class Figure:
    """One figure of a case that can be changed.

    Parameters
    ----------
    what
        Which figure: the nudge of a driver; the chance or the likeliest margin of a stream; the
        likeliest retrofit multiplier of an option, its price with the order or what it lists for
        later; horizon; discount rate.
    name
        Id of the driver, stream or option; empty for figures of the case.
    """

    what: What
    name: str = ""

    def __str__(self) -> str:
        return f"{self.what} {self.name}".rstrip()


@dataclass(frozen=True)
class Asked:
    """A figure and what it is to be: a value, or so many times what it is."""

    figure: Figure
    value: float
    times: bool = False


def asked_change(what: What, text: str) -> Asked:
    """The change that somebody writes as NAME=VALUE, NAME=xFACTOR, VALUE or xFACTOR.

    Raises
    ------
    RequestError
        If `text` is neither.

    Examples
    --------
    >>> asked_change("chance", "night=0.8")
    Asked(figure=Figure(what='chance', name='night'), value=0.8, times=False)
    >>> asked_change("horizon", "x0.5").times
    True
    """
    name, equals, amount = text.rpartition("=")
    times = amount.strip().lower().startswith("x")
    try:
        value = float(amount.strip()[1:] if times else amount)
    except ValueError:
        value = math.nan
    if bool(equals) != (what in KINDS) or not math.isfinite(value):
        form = f"{KINDS[what].upper()}=VALUE" if what in KINDS else "VALUE"
        raise RequestError(
            f"--{what}: '{text}' is not understood. Write {form} with digits and a point, or x "
            "and a factor for the value, e.g. x1.2."
        )
    return Asked(Figure(what, name.strip()), value, times=times)


def one_figure(names: Mapping[What, str | None]) -> Figure:
    """The only figure among `names` that is named.

    Raises
    ------
    RequestError
        If none or several are.
    """
    named = [Figure(what, name) for what, name in names.items() if name is not None]
    if len(named) != 1:
        found = ", ".join(str(figure) for figure in named) or "none"
        raise RequestError(f"One figure is changed along a range; found {found}.")
    return named[0]


def with_changes(case: Case, asked: Sequence[Asked]) -> tuple[Case, tuple[Change, ...]]:
    """`case` with all changes made, checked anew, and what was changed.

    Raises
    ------
    RequestError
        If nothing is asked, a name is unknown, a figure is given twice or is not allowed.
    CaseError
        If the changed case does not fit together.
    """
    figures = [each.figure for each in asked]
    if not asked:
        raise RequestError(
            "Nothing is changed: give at least one figure, e.g. --chance or --price."
        )
    for position, figure in enumerate(figures):
        if figure in figures[:position]:
            raise RequestError(f"{figure} is given twice. Give it once.")
    made = []
    for each in asked:
        before = figure_of(case, each.figure)
        after = before * each.value if each.times else each.value
        case = with_figure(case, each.figure, after)
        made.append(
            Change(what=each.figure.what, name=each.figure.name, before=before, after=after)
        )
    return checked(case), tuple(made)


def figure_of(case: Case, figure: Figure) -> float:
    """What a figure of `case` is now.

    Raises
    ------
    RequestError
        If there is no such driver, stream, option or multiplier.
    """
    if figure.what == "horizon":
        return case.growth.horizon_years
    if figure.what == "discount-rate":
        return case.growth.discount_rate
    owner = _owner(case, figure)
    if isinstance(owner, Driver):
        return owner.nudge
    if isinstance(owner, Stream):
        return owner.likely_chance if figure.what == "chance" else owner.margin.likely
    return owner.price if figure.what == "price" else _of_retrofit(owner, figure)


def _of_retrofit(option: Option, figure: Figure) -> float:
    """A figure that only an option has which can be fitted later."""
    if option.multiplier is None or not option.retrofittable:
        lacks = {"later-price": "price later"}.get(figure.what, "retrofit multiplier")
        raise RequestError(f"{figure}: the option is factory-only and has no {lacks}.")
    return option.listed_later if figure.what == "later-price" else option.multiplier.likely


def with_figure(case: Case, figure: Figure, value: float) -> Case:
    """`case` with one figure set; low, likely and high are scaled together; not checked as a whole.

    Raises
    ------
    RequestError
        If there is no such figure or the value is outside what the model allows.
    """
    figure_of(case, figure)
    try:
        return _SETTERS[figure.what](case, figure.name, value)
    except ValidationError as error:
        first = error.errors()[0]
        told = first.get("ctx", {}).get("allowed") or f"{first['msg']}."
        raise RequestError(f"{figure}: {value:.12g} is not allowed. {told}") from error


def _owner(case: Case, figure: Figure) -> Driver | Stream | Option:
    kind = KINDS[figure.what]
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


def _with_growth(case: Case, **changes: Any) -> Case:
    return case.model_copy(update={"growth": _remade(case.growth, **changes)})


def _with_nudge(case: Case, name: str, value: float) -> Case:
    drivers = (_remade(d, nudge=value) if d.id == name else d for d in case.growth.driver)
    return _with_growth(case, driver=tuple(drivers))


def _with_chance(case: Case, name: str, value: float) -> Case:
    """The likeliest chance; where nobody knows it, all three move as far, within 0 and 1."""
    return _with_stream(case, name, lambda s: _remade(s, chance=_chance_at(s.chance, value)))


def _chance_at(chance: float | Triangular, likely: float) -> float | Triangular:
    """A chance moved so that its likeliest value is `likely`."""
    if not isinstance(chance, Triangular) or not 0.0 <= likely <= 1.0:
        return likely
    shift = likely - chance.likely
    low, high = (min(max(end + shift, 0.0), 1.0) for end in (chance.low, chance.high))
    return Triangular(low=low, likely=likely, high=high)


def _with_stream(case: Case, name: str, made: Callable[[Stream], Stream]) -> Case:
    streams = (made(s) if s.id == name else s for s in case.growth.stream)
    return _with_growth(case, stream=tuple(streams))


def _with_margin(case: Case, name: str, value: float) -> Case:
    streams = (
        _remade(s, margin=_likely_at(s.margin, value)) if s.id == name else s
        for s in case.growth.stream
    )
    return _with_growth(case, stream=tuple(streams))


def _with_price(case: Case, name: str, value: float) -> Case:
    """The price with the order; what the option lists for later stays."""
    return _with_option(case, name, lambda option: option.priced(value))


def _with_later_price(case: Case, name: str, value: float) -> Case:
    return _with_option(case, name, lambda option: _remade(option, later_price=value))


def _with_option(case: Case, name: str, made: Callable[[Option], Option]) -> Case:
    options = (made(o) if o.option == name else o for o in case.catalogue.options)
    return case.model_copy(update={"catalogue": Catalogue(options=tuple(options))})


def _with_multiplier(case: Case, name: str, value: float) -> Case:
    before = case.catalogue.by_id[name].multiplier
    if before is not None and before.likely > 0.0:
        return scaled_multiplier(case, name, value / before.likely)
    raise RequestError(f"multiplier {name}: its likeliest multiplier is 0, which cannot be scaled.")


_SETTERS: dict[What, Callable[[Case, str, float], Case]] = {
    "nudge": _with_nudge,
    "chance": _with_chance,
    "margin": _with_margin,
    "multiplier": _with_multiplier,
    "price": _with_price,
    "later-price": _with_later_price,
    "horizon": lambda case, _, value: _with_growth(case, horizon_years=value),
    "discount-rate": lambda case, _, value: _with_growth(case, discount_rate=value),
}


def scaled_chances(case: Case, streams: tuple[str, ...], factor: float) -> Case:
    """`case` with the chances of `streams` times `factor`, none above 1."""

    def scaled(stream: Stream) -> Stream:
        if stream.id not in streams:
            return stream
        return stream.model_copy(update={"chance": _chance_times(stream.chance, factor)})

    growth = case.growth
    changed = {"stream": tuple(scaled(stream) for stream in growth.stream)}
    return case.model_copy(update={"growth": growth.model_copy(update=changed)})


def _chance_times(chance: float | Triangular, factor: float) -> float | Triangular:
    if not isinstance(chance, Triangular):
        return min(chance * factor, 1.0)
    low, likely, high = (min(end * factor, 1.0) for end in (chance.low, chance.likely, chance.high))
    return Triangular(low=low, likely=likely, high=high)


def scaled_multiplier(case: Case, option: str, factor: float) -> Case:
    """`case` with low, likely and high multiplier of `option` times `factor`, eased ones too."""

    def scaled(each: Option) -> Option:
        if each.option != option:
            return each
        found = {"multiplier": each.multiplier, "eased": each.eased}
        return each.model_copy(
            update={key: None if t is None else _times(t, factor) for key, t in found.items()}
        )

    options = tuple(scaled(each) for each in case.catalogue.options)
    return case.model_copy(update={"catalogue": Catalogue(options=options)})


def _likely_at(amount: Triangular, likely: float) -> Triangular:
    """`amount` scaled so that its likeliest value is `likely`."""
    if amount.likely > 0.0:
        return _times(amount, likely / amount.likely)
    return Triangular(low=likely, likely=likely, high=max(likely, amount.high))


def _times(amount: Triangular, factor: float) -> Triangular:
    return Triangular(
        low=amount.low * factor, likely=amount.likely * factor, high=amount.high * factor
    )
