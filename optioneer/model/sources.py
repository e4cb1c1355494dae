"""Which figures a case has, and where each of them is from."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Any, Literal

from pydantic import BaseModel

from optioneer.errors import RequestError, did_you_mean
from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.model.origin import Origin, Whence

Standing = Literal[Whence, "unsaid"]
"""Where a figure is from, or that nobody has said so."""

STANDINGS: tuple[Standing, ...] = (*("quoted", "told", "usual", "computed", "example", "unsaid"),)
"""The surest first."""

SETTINGS = frozenset({"growth/futures", "growth/seed", "growth/periods_per_year"})
"""Numbers that say how to reckon and nothing about the purchase."""

SPOKEN = ("told", "quoted")
"""Sources that may contradict each other."""


def figures(case: Case) -> dict[str, str]:
    """The figures that a case states, as it writes them, by key.

    Parameters
    ----------
    case
        The case; what is left at its default is no figure of it, unless somebody has said so.
    """
    said = {origin.key for origin in case.sources or ()}
    return {key: text for key, text, stated in _all(case) if stated or key in said}


def origins(case: Case) -> dict[str, Standing]:
    """Where each figure of a case is from.

    The last line of the list of sources that says what the case says now is meant. A figure that
    was changed since, and one of which nothing is said, is `unsaid`, unless it is what is usual for
    an option's kind.
    """
    usual = set(_usual(case))
    said: dict[tuple[str, str], Standing] = {}
    for origin in case.sources or ():
        said[origin.key, origin.value] = origin.source
    return {
        key: said.get((key, text), "usual" if key in usual else "unsaid")
        for key, text in figures(case).items()
    }


def with_source(
    case: Case,
    key: str,
    *,
    source: Whence = "told",
    who: str = "",
    day: date | None = None,
    note: str = "",
) -> Case:
    """The case with a line that says where a figure is from, as the figure stands now.

    Earlier lines stay: what was said before is not overwritten.

    Parameters
    ----------
    case
        The case, with the figure.
    key
        Which figure.
    source, who, day, note
        Where it is from.

    Raises
    ------
    RequestError
        The case has no such figure.
    """
    return all_recorded(case, [key], source=source, who=who, day=day, note=note)


def all_recorded(
    case: Case,
    keys: Sequence[str],
    *,
    source: Whence,
    who: str = "",
    day: date | None = None,
    note: str = "",
) -> Case:
    """The same for several figures at once; what was the last word already is not said again."""
    known = {key: text for key, text, _ in _all(case)}
    lost = next((key for key in keys if key not in known), None)
    if lost is not None:
        raise RequestError(f"the case has no figure '{lost}'. {did_you_mean(lost, known)}")
    about = {"source": source, "who": who, "date": day, "note": note}
    lines = (Origin.model_validate({"key": k, "value": known[k], **about}) for k in keys)
    last = {origin.key: origin for origin in case.sources or ()}
    new = tuple(line for line in lines if line != last.get(line.key))
    return case.model_copy(update={"sources": (*(case.sources or ()), *new) or None})


def disagreements(case: Case) -> dict[str, tuple[Origin, ...]]:
    """Figures of which people or quotes say different things, with the last word of each.

    A new quote takes the place of the one before.
    """
    last: dict[str, dict[str, Origin]] = {}
    for origin in case.sources or ():
        if origin.source in SPOKEN:
            speaker = origin.who if origin.source == "told" else "quote"
            last.setdefault(origin.key, {})[speaker] = origin
    return {
        key: tuple(words.values())
        for key, words in last.items()
        if len({origin.value for origin in words.values()}) > 1
    }


@dataclass(frozen=True)
class Rest:
    """What of a case rests on one kind of source.

    Parameters
    ----------
    prices
        Of the machine and all options [money].
    margins
        Expected margins of all streams, chance times mean [money/year].
    """

    figures: int
    prices: float
    margins: float


def rests(case: Case) -> dict[Standing, Rest]:
    """How much of a case rests on which kind of source, those that it has, in a fixed order."""
    found = origins(case)
    prices = {f"option/{one.option}/price": one.price for one in case.catalogue.options}
    prices["machine/base_price"] = case.machine.base_price
    margins = {
        f"stream/{one.id}/margin": one.mean_chance * one.margin.mean for one in case.growth.stream
    }
    return {
        source: Rest(
            figures=sum(one == source for one in found.values()),
            prices=sum(price for key, price in prices.items() if found.get(key) == source),
            margins=sum(margin for key, margin in margins.items() if found.get(key) == source),
        )
        for source in STANDINGS
        if source in found.values()
    }


def _usual(case: Case) -> Iterator[str]:
    """Keys of the figures of options that are as is usual for their kind."""
    for option in case.catalogue.options:
        for field, value in option.usual.items():
            if getattr(option, field) == value:
                yield f"option/{option.option}/{field}"


def _all(case: Case) -> Iterator[tuple[str, str, bool]]:
    """Every number of a case: key, text, whether it is other than what blank would mean."""
    for key, text, stated in _everything(case):
        if key not in SETTINGS:
            yield key, text, stated


def _everything(case: Case) -> Iterator[tuple[str, str, bool]]:
    yield from _of("machine", case.machine)
    yield from _of("hours", case.hours)
    yield from _of("dates", case.dates)
    yield from _of("call_out", dict(case.call_outs))
    yield from _of("bundle", case.bundles)
    yield from _of("option", case.catalogue.options)
    growth = case.growth
    for name in type(growth).model_fields:
        inside = name in {"driver", "stream"}
        yield from _of(name if inside else f"growth/{name}", getattr(growth, name))
    yield from _of("paying", case.paying)
    yield from _of("site", case.site)


_NO_FIGURES = (str, bool, date, type(None))


def _of(key: str, value: Any, *, stated: bool = True) -> Iterator[tuple[str, str, bool]]:
    """The numbers in a value, with the keys that lead to them."""
    if isinstance(value, Triangular) or (_is_number(value)):
        yield key, figure_text(value), stated
    elif isinstance(value, BaseModel):
        for name, written, default in _fields(type(value)):
            inner = getattr(value, name)
            if not isinstance(inner, _NO_FIGURES):
                yield from _of(f"{key}/{written}", inner, stated=inner != default)
    elif isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _of(f"{key}/{name}", inner)
    elif isinstance(value, tuple) and value and all(map(_is_number, value)):
        yield key, "; ".join(map(figure_text, value)), stated
    elif isinstance(value, tuple):
        for number, inner in enumerate(value, 1):
            yield from _of(f"{key}/{_name(inner) or number}", inner)


@cache
def _fields(model: type[BaseModel]) -> tuple[tuple[str, str, Any], ...]:
    """The fields of a model: name, name in a file, what blank means."""
    return tuple(
        (name, field.alias or name, field.get_default(call_default_factory=True))
        for name, field in model.model_fields.items()
    )


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _name(fact: Any) -> str:
    """The id of an entry of a list, '' where it has none."""
    return str(getattr(fact, "option", None) or getattr(fact, "id", ""))


def figure_text(value: float | Triangular) -> str:
    """A figure as the case writes it: one number, or low; likely; high.

    Examples
    --------
    >>> figure_text(4800.0), figure_text(0.25)
    ('4800', '0.25')
    """
    if isinstance(value, Triangular):
        return "; ".join(map(figure_text, (value.low, value.likely, value.high)))
    return format(Decimal(repr(float(value))), "f").removesuffix(".0")
