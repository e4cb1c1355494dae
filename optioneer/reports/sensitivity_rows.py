"""What moves the advice as rows for charts."""

from typing import Any

from optioneer.model.case import Case
from optioneer.reports.money import Figures
from optioneer.reports.whatif import figure_label, figure_value
from optioneer.study.sensitivity_answers import AllTogether, OneAtATime

Row = dict[str, Any]

MOST_BARS = 20
"""Figures drawn, those that move most."""


def range_rows(case: Case, answer: OneAtATime, figures: Figures) -> list[Row]:
    """Two rows a figure, `figure`, `end`, `cost` and `value`: the package's cost at each end."""
    return [
        {
            "figure": figure_label(case, each.what, each.name),
            "end": end,
            "cost": cost,
            "value": figure_value(each.what, value, figures),
        }
        for each in answer.figures[:MOST_BARS]
        for end, cost, value in (
            ("low", each.npc_low, each.low),
            ("high", each.npc_high, each.high),
        )
    ]


def share_rows(case: Case, answer: AllTogether) -> list[Row]:
    """A row a figure: `figure`, shares `alone` and `total`, and the interval `least`, `most`."""
    return [
        {
            "figure": figure_label(case, each.what, each.name),
            "alone": max(each.first, 0.0),
            "total": each.total,
            "least": each.total_low,
            "most": each.total_high,
        }
        for each in answer.npc.figures[:MOST_BARS]
    ]
