"""Figures that are not as in the case: how people write them, and the case once changed."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pydantic import Field

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.checks.consistency import checked
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream
from optioneer.study.answer import Answer
from optioneer.study.worth.figures import (
    KINDS,
    Figure,
    What,
    figure_of,
    with_figure,
    with_multiplier_times,
)


class Change(Answer):
    """One figure that is not as in the case."""

    what: What
    name: str = Field(description="Id of the driver, stream or option; empty for the others.")
    before: float = Field(description="As in the case; of a triangular figure the likeliest.")
    after: float


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
    >>> str(asked_change("chance", "night=0.8").figure)
    'chance night'
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
    options = tuple(
        with_multiplier_times(each, factor) if each.option == option else each
        for each in case.catalogue.options
    )
    return case.model_copy(update={"catalogue": Catalogue(options=options)})


@dataclass(frozen=True)
class ScaledChances:
    """The chances of some streams scaled together."""

    streams: tuple[str, ...]
    factor: float

    def case_after(self, case: Case) -> Case:
        """`case` with them scaled."""
        return scaled_chances(case, self.streams, self.factor)


@dataclass(frozen=True)
class ScaledMultiplier:
    """The retrofit multipliers of one option scaled together, eased ones too."""

    option: str
    factor: float

    def case_after(self, case: Case) -> Case:
        """`case` with them scaled."""
        return scaled_multiplier(case, self.option, self.factor)


Scaled = ScaledChances | ScaledMultiplier
"""Some figures of a case scaled together."""
