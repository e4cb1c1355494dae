"""One picture of all options: a row each, what the other choice would cost as a bar."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

from optioneer.app.engine.words import SIGNS, escaped
from optioneer.app.order import hangs
from optioneer.app.parts import fold, show
from optioneer.app.parts.scale import MarkedLine, nice_step
from optioneer.model.case import Case
from optioneer.reports.advice.tables import (
    KEEP,
    LEAVE,
    ORDER,
    RETROFITS,
    Group,
    GroupMember,
    groups_by_verdict,
)
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Page
from optioneer.study.advice.answers import Advice, OptionAnswer
from optioneer.valuation.figures.summary import interval_errors

SHAPES = {
    ORDER: SIGNS["order now"],
    KEEP: SIGNS["order now"],
    **dict.fromkeys(RETROFITS.values(), SIGNS["leave for retrofit"]),
    LEAVE: SIGNS["leave off"],
}
"""The shape of each group of verdicts."""

COLOURS = {ORDER: "order", KEEP: "order", **dict.fromkeys(RETROFITS.values(), "wait"), LEAVE: "off"}
"""The class of each group, which gives its bars their colour."""

CLOSE = "Too close to call: the other choice may be as good"
"""What stands above the rows of close calls."""

LONGEST = 4.0
"""Longest bar drawn whole, in medians of all; longer ones are cut, so that the others are seen."""

TICKS = 4
"""Steps of the scale."""


@dataclass(frozen=True)
class Bars:
    """How costs become lengths.

    Parameters
    ----------
    span
        What the bars lie on [money].
    errors
        Standard errors from the middle of a 95 % interval to its end.
    """

    span: MarkedLine
    errors: float

    def ends(self, answer: OptionAnswer) -> tuple[float, float]:
        """The 95 % interval of what the other choice costs [money]."""
        cost, error = answer.otherwise or 0.0, self.errors * (answer.otherwise_se or 0.0)
        return cost - error, cost + error


def bars_of(advice: Advice) -> Bars:
    """The scale on which all rows are drawn."""
    errors = interval_errors(advice.futures)
    told = [each for each in advice.options if each.otherwise is not None]
    highs = [(each.otherwise or 0.0) + errors * (each.otherwise_se or 0.0) for each in told]
    lows = [(each.otherwise or 0.0) - errors * (each.otherwise_se or 0.0) for each in told]
    usual = LONGEST * median([abs(high) for high in highs] or [1.0])
    top = max(min(max(highs, default=1.0), usual), 1.0)
    return Bars(MarkedLine(max(min([0.0, *lows]), -top), top), errors)


def draw(case: Case, advice: Advice, figures: Figures, *, behind: Page) -> None:
    """Every option once, by verdict; a click on a row tells why.

    Parameters
    ----------
    case, advice, figures
        What is told, and how money is said.
    behind
        The same in words.
    """
    bars = bars_of(advice)
    groups = (
        group_rows(one, bars, figures, case=case)
        for one in groups_by_verdict(case, advice, figures)
    )
    show.drawing(
        f'<div class="verdicts">{_scale(bars, figures)}{"".join(groups)}</div>',
        show.Behind(behind, "words", "The same in words"),
    )
    fold.rows_stay()


def _scale(bars: Bars, figures: Figures) -> str:
    """What the lengths mean, above all rows."""
    step = nice_step(bars.span.high / TICKS)
    count = int(bars.span.high / step)
    marks = "".join(
        f'<span style="left:{bars.span.at(place * step):.2f}%">'
        f"{escaped(figures.amount(place * step))}</span>"
        for place in range(count + 1)
    )
    return (
        '<div class="scale"><span>option, price with the order</span>'
        f'<div class="track">{marks}</div><span>the other choice costs</span></div>'
    )


def group_rows(group: Group, bars: Bars, figures: Figures, *, case: Case) -> str:
    """The options of one verdict; what hangs on something and close calls in bands at its end."""
    close = [each for each in group.members if each.answer.close_call]
    others = [each for each in group.members if not each.answer.close_call]
    parts = (
        ("", [each for each in others if not hangs.hangs(each.answer)]),
        (hangs.TOLD, [each for each in others if hangs.hangs(each.answer)]),
        (CLOSE, close),
    )
    rows = "".join(
        _band(told, "".join(_rows(group, members, bars, figures, case=case)))
        for told, members in parts
        if members
    )
    head = f"{SHAPES[group.title]} {group.title} ({len(group.members)})"
    told = f"<span>{escaped(group.head)}</span>" if group.members else ""
    foot = f'<p class="foot">{escaped(group.foot)}</p>' if group.foot else ""
    return f"<section><h3>{escaped(head)}{told}</h3>{rows}{foot}</section>"


def _band(told: str, rows: str) -> str:
    """Rows in a band that says what they have in common; bare where nothing is said."""
    return f'<div class="band"><p>{escaped(told)}</p>{rows}</div>' if told else rows


def _rows(
    group: Group, members: Sequence[GroupMember], bars: Bars, figures: Figures, *, case: Case
) -> Iterator[str]:
    for each in members:
        said = _figure(each.answer, figures)
        yield (
            f'<details data-row="{escaped(each.answer.option)}"><summary>'
            f"<span>{escaped(each.entry.name)} "
            f"<small>{escaped(each.entry.figures[0])}</small></span>"
            f"{_bar(each.answer, bars, COLOURS[group.title])}<b>{escaped(said)}</b>"
            f"{hangs.hanging_band(case, each.answer, figures)}</summary>"
            f"<p>{escaped(each.entry.sentence)}</p></details>"
        )


def _figure(answer: OptionAnswer, figures: Figures) -> str:
    return "no other choice" if answer.otherwise is None else figures.amount(answer.otherwise)


def _bar(answer: OptionAnswer, bars: Bars, kind: str) -> str:
    """From nothing to what the other choice costs, and its 95 % interval as a line."""
    if answer.otherwise is None:
        return '<span class="track"></span>'
    zero, end = bars.span.at(0.0), bars.span.at(answer.otherwise)
    low, high = map(bars.span.at, bars.ends(answer))
    cut = " cut" if answer.otherwise > bars.span.high else ""
    close = " close" if answer.close_call else ""
    return (
        '<span class="track" aria-hidden="true">'
        f'<i class="zero" style="left:{zero:.2f}%"></i>'
        f'<i class="bar {kind}{cut}{close}" '
        f'style="left:{min(zero, end):.2f}%;width:{abs(end - zero):.2f}%"></i>'
        f'<i class="error" style="left:{low:.2f}%;width:{high - low:.2f}%"></i></span>'
    )
