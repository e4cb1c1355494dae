"""What a question's figure is believed to be, and what an answer means: in words and rows."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from optioneer.model.case import Case
from optioneer.reports.advice.provenance import figure_named
from optioneer.reports.advice.whatif import figure_label, figure_value
from optioneer.reports.page.money import Figures
from optioneer.study.answer import Verdict
from optioneer.study.asking.answers import VerdictTurn
from optioneer.study.asking.beliefs import Belief, unit_of
from optioneer.study.asking.conversation import figures_by_key
from optioneer.study.worth.figures import What

SHARES: frozenset[What] = frozenset({"chance", "fallback", "growth", "swing", "discount-rate"})
"""Figures that are told in percent."""

PRICES: frozenset[What] = frozenset({"margin", "price", "later-price", "multiplier", "beyond"})
"""Figures that are told in money; a retrofit multiplier is asked as a price."""

UNITS: Mapping[What, str] = {
    "years": "years",
    "lasts-years": "years",
    "kept-years": "years",
    "horizon": "years",
    "hours": "hours a year",
    "attended": "hours a year",
    "downtime-days": "days",
}
"""What others are counted in."""

SAID: Mapping[Verdict, str] = {
    "order now": "ordered now",
    "leave for retrofit": "left for a retrofit",
    "leave off": "left off",
}

TEN = 10

NEAR = 0.03
"""Strokes that are nearer than this part of what is seen are one."""


def asked_value(what: What, value: float, figures: Figures) -> str:
    """A figure as it is asked for, in its unit."""
    told = figure_value("price" if what == "multiplier" else what, value, figures)
    unit = UNITS.get(what)
    return f"{told} {unit}" if unit else told


def belief_sentence(what: What, found: Belief, figures: Figures) -> str:
    """What is believed, in words."""
    low, likely, high = (
        asked_value(what, x, figures) for x in (found.low, found.likely, found.high)
    )
    if found.low == found.high:
        return f"{likely}, for sure"
    return f"{likely}, somewhere from {low} to {high}"


def verdict_turn_sentence(case: Case, what: What, turn: VerdictTurn, figures: Figures) -> str:
    """What turns where; the value in the unit in which it is asked."""
    name = case.catalogue.by_id[turn.option].name
    at = asked_value(what, turn.at, figures)
    return f"{name}, {SAID[turn.verdict]}: {turn.side} {at} the other choice is better"


def turn_marks(turns: Sequence[VerdictTurn], span: float) -> list[dict[str, Any]]:
    """Where verdicts turn, numbered from 1; those that would be one stroke share a mark.

    Parameters
    ----------
    turns
        Verdicts that turn.
    span
        How much of the figure is seen.
    """
    groups: list[list[tuple[int, VerdictTurn]]] = []
    for numbered in sorted(enumerate(turns, 1), key=lambda each: each[1].at):
        if groups and numbered[1].at - groups[-1][0][1].at <= NEAR * span:
            groups[-1].append(numbered)
        else:
            groups.append([numbered])
    return [
        {"at": group[0][1].at, "mark": ", ".join(str(n) for n, _ in sorted(group, key=_number))}
        for group in groups
    ]


def _number(numbered: tuple[int, VerdictTurn]) -> int:
    return numbered[0]


def belief_rows(named: Sequence[tuple[str, Belief]]) -> tuple[list[Any], list[Any]]:
    """Corners of the shapes of some beliefs, and those that are certain.

    A triangle where three figures were told, else a band. The narrower, the higher: twice as high
    where it is a quarter as wide, so that a wide one can still be seen.
    """
    widths = [found.high - found.low for _, found in named if found.high > found.low]
    narrowest = min(widths, default=1.0)
    shapes: list[dict[str, Any]] = []
    for whose, found in named:
        if found.high > found.low:
            height = (narrowest / (found.high - found.low)) ** 0.5
            corners = enumerate(_corners(found, height))
            shapes += [
                {"whose": whose, "at": at, "height": up, "order": place}
                for place, (at, up) in corners
            ]
    sure = [{"whose": whose, "at": one.likely} for whose, one in named if one.low == one.high]
    return shapes, sure


def _corners(found: Belief, height: float) -> Iterable[tuple[float, float]]:
    if found.told:
        return ((found.low, 0.0), (found.likely, height), (found.high, 0.0))
    band = height / 2
    return ((found.low, 0.0), (found.low, band), (found.high, band), (found.high, 0.0))


def of_ten(found: Belief) -> tuple[int, int, int]:
    """Of ten such orders: how many come at least, likely, at most.

    Examples
    --------
    >>> of_ten(Belief(0.15, 0.35, 0.6, told=True))
    (1, 4, 6)
    """
    low, likely, high = (round(TEN * x, 6) for x in (found.low, found.likely, found.high))
    return math.floor(low), math.floor(likely + 0.5), math.ceil(high)


def of_ten_sentence(found: Belief) -> str:
    """The same in words."""
    least, likely, most = of_ten(found)
    return f"Of ten such orders about {likely} come; {least} at least, {most} at most."


def said_of(case: Case, key: str, text: str, figures: Figures) -> tuple[str, str]:
    """A figure of the list of sources, and what was said of it, in words.

    Parameters
    ----------
    key, text
        As the list of sources writes them: one number, or low; likely; high.
    figures
        How figures are written.
    """
    figure = figures_by_key(case).get(key)
    if figure is None:
        return figure_named(case, key), text
    unit, what = unit_of(case, figure), figure.what
    told = [asked_value(what, unit * float(one), figures) for one in text.split(";")]
    label = figure_label(case, what, figure.name)
    if len(told) != len(("low", "likely", "high")):
        return label, told[0]
    low, likely, high = told
    return label, likely if low == high else f"{likely} ({low} to {high})"
