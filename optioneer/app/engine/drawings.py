"""The charts of a report, drawn; needs the libraries of charts."""

from collections.abc import Mapping

from optioneer import charts
from optioneer.reports import rows
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Picture
from optioneer.reports.ready.page import gantt_marks, gantt_rows
from optioneer.study.papers.dossier import Dossier


def report_pictures(told: Dossier, figures: Figures) -> Mapping[str, Picture]:
    """The charts of a report, by name."""
    currency, words = told.advice.currency, rows.told_of(told, figures)
    drawn = {
        "spread": charts.spread_chart(rows.spread_rows(told), currency=currency),
        "otherwise": charts.otherwise_chart(rows.otherwise_rows(told), currency=currency),
        "frontier": charts.frontier_chart(
            rows.frontier_rows(told), rows.package_rows(told), currency=currency
        ),
    }
    if told.money is not None and told.case.paying is not None:
        drawn["balance"] = charts.balance_chart(
            rows.account_rows(told.money, currency),
            currency=currency,
            keep_above=told.case.paying.account.keep_above,
        )
    if told.ready is not None:
        drawn["road"] = charts.gantt(gantt_rows(told.ready), gantt_marks(told.ready), title="")
    return {
        name: Picture(words[name][0], charts.image(chart, "svg").decode("utf-8"), words[name][1])
        for name, chart in drawn.items()
    }
