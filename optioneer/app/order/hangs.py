"""What a verdict hangs on: the range of a figure, where it stands, where the verdict turns."""

from optioneer.app.engine.words import escaped
from optioneer.app.parts.scale import MarkedLine
from optioneer.model.case import Case
from optioneer.reports.advice.certainty import plain_label
from optioneer.reports.advice.whatif import figure_value
from optioneer.reports.page.money import Figures
from optioneer.study.advice.answers import OptionAnswer
from optioneer.study.unknowns.answers import HangsOn

TOLD = "Hangs on a figure that is unsure: it turns in the hatched part of its range"
"""What stands above the rows of verdicts that hang on something."""


def hangs(answer: OptionAnswer) -> bool:
    """Whether a figure turns the verdict within its range."""
    return bool(answer.hangs_on)


def hanging_band(case: Case, answer: OptionAnswer, figures: Figures) -> str:
    """The figure most worth knowing for one option, in words and as its range; '' for none."""
    if not answer.hangs_on:
        return ""
    one = answer.hangs_on[0]
    here, at, low, high = (
        figure_value(one.what, value, figures)
        for value in (one.here, one.turns_at, one.low, one.high)
    )
    label = plain_label(case, one.what, one.name)
    told = f"{label[0].upper()}{label[1:]}: turns {one.turns} {at}, now {here}"
    return (
        f'<span class="hangs"><small>{escaped(told)}</small>'
        f'<span class="ends" aria-hidden="true"><small>{escaped(low)}</small>{_range(one)}'
        f"<small>{escaped(high)}</small></span></span>"
    )


def _range(one: HangsOn) -> str:
    """The range as a line; hatched where the other choice is better, a dot where the case is."""
    line = MarkedLine(min(one.low, one.here), max(one.high, one.here))
    turn, here = line.at(one.turns_at), line.at(one.here)
    start, width = (0.0, turn) if one.turns == "below" else (turn, 100.0 - turn)
    return (
        f'<span class="span"><i class="turned" style="left:{start:.2f}%;width:{width:.2f}%"></i>'
        f'<i class="here" style="left:{here:.2f}%"></i></span>'
    )
