"""Answers as rows for the charts of a report, and what each chart shows in words."""

from collections.abc import Sequence
from typing import Any

from optioneer.model.case import Case
from optioneer.reports.advice.tables import dearest_first, package_name
from optioneer.reports.advice.whatif import figure_label, figure_value
from optioneer.reports.cash.rows import balance_rows
from optioneer.reports.page.money import Figures
from optioneer.study.advice.answers import PackageAnswer
from optioneer.study.papers.dossier import Dossier, Money
from optioneer.study.whatif.answers import AllTogether, OneAtATime
from optioneer.valuation.figures.summary import interval_errors

_Rows = list[dict[str, Any]]
MOST_BARS = 24
"""Options in the chart of other choices; the others cost less and stand in the tables."""


def otherwise_rows(told: Dossier) -> _Rows:
    """What the other choice would cost, dearest first: `option`, `cost`, `low`, `high`."""
    names, errors = told.case.catalogue.by_id, interval_errors(told.advice.futures)
    return [
        {
            "option": names[one.option].name,
            "cost": one.otherwise,
            "low": one.otherwise - errors * (one.otherwise_se or 0.0),
            "high": one.otherwise + errors * (one.otherwise_se or 0.0),
        }
        for one in dearest_first(told.advice.options)[:MOST_BARS]
        if one.otherwise is not None
    ]


def _packages(told: Dossier) -> Sequence[PackageAnswer]:
    return (told.advice.advised, *told.advice.packages)


def spread_rows(told: Dossier) -> _Rows:
    """The range of each package: `package`, `p10`, `p90`, `mean`, `worst`."""
    return [
        {
            "package": package_name(told.case, one.id),
            "p10": one.outcome.p10,
            "p90": one.outcome.p90,
            "mean": one.outcome.mean,
            "worst": one.outcome.worst_tenth,
        }
        for one in _packages(told)
    ]


def package_rows(told: Dossier) -> _Rows:
    """Price and cost of each package: `package`, `price`, `npc`."""
    return [
        {"package": package_name(told.case, one.id), "price": one.price, "npc": one.npc}
        for one in _packages(told)
    ]


def frontier_rows(told: Dossier) -> _Rows:
    """What each price buys at best: `price`, `npc`."""
    return [{"price": point.price, "npc": point.npc} for point in told.advice.frontier]


def account_rows(money: Money, currency: str) -> _Rows:
    """The balance of the account under the chosen plan: `day`, `balance`."""
    return [dict(row) for row in balance_rows([money.ledger], currency)]


def told_of(told: Dossier, figures: Figures) -> dict[str, tuple[str, str]]:
    """Title and words of each chart, for those who do not see it."""
    best = told.advice.advised
    largest = dearest_first(told.advice.options)[0]
    words = {
        "otherwise": "Bars: cost of choosing otherwise; lines: 95 % intervals. A "
        "line that crosses zero is too close to call. Dearest to get wrong: "
        f"{told.case.catalogue.by_id[largest.option].name}.",
        "spread": "Thick line: eight futures of ten; dot: average; triangle: worst tenth. Advice: "
        f"{figures.amount(best.outcome.p10)} to {figures.amount(best.outcome.p90)}, average "
        f"{figures.amount(best.outcome.mean)}, worst tenth "
        f"{figures.amount(best.outcome.worst_tenth)}.",
        "frontier": "Line: least net present cost at each price; dots: packages by name. The table "
        "above has the figures.",
        "road": "Tasks over time. Bar: planned, dark: critical; dotted: float; triangle: order or "
        "book by. The table of dates has the figures.",
        "balance": _account_told(told, figures),
    }
    return {name: (title, words[name]) for name, title in TITLES.items()}


TITLES = {
    "otherwise": "What the other choice would cost",
    "spread": "How far the outcome may stray",
    "frontier": "What a budget buys",
    "road": "The road to first chips",
    "balance": "The account",
}


def _account_told(told: Dossier, figures: Figures) -> str:
    if told.money is None:
        return ""
    low = told.money.ledger.answer.lowest
    return (
        f"Under plan '{told.money.chosen}'. Line: balance at the end of the day; dashed: what to "
        f"keep. Lowest on {low.date.isoformat()}: {figures.cash(low.cents)}."
    )


_Row = dict[str, Any]
MOST_BARS = 20
"""Figures drawn, those that move most."""


def range_rows(case: Case, answer: OneAtATime, figures: Figures) -> list[_Row]:
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


def share_rows(case: Case, answer: AllTogether) -> list[_Row]:
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
