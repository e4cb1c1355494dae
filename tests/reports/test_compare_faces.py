"""The chart of a comparison, and what its page says in rarer cases."""

import json
from typing import Any

from optioneer.charts import image
from optioneer.charts.spread import npc_chart
from optioneer.reports.advice.compare import compare_page, count_rows, spread_marks
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.money import Figures
from tests import comparisons

DOLLARS = Figures("USD")


def drawn() -> dict[str, Any]:
    cases, answer = comparisons.cases(), comparisons.comparison()
    chart = npc_chart(
        count_rows(cases, answer), spread_marks(cases, answer), currency="USD", title="Costs"
    )
    specification: dict[str, Any] = json.loads(image(chart, "json"))
    return specification


def test_every_package_has_a_panel_with_all_its_futures() -> None:
    specification = drawn()
    panels, rows = specification["vconcat"], specification["datasets"]
    assert [panel["title"]["text"][0] for panel in panels] == ["A", "B", "C"]
    for panel, package in zip(panels, comparisons.comparison().packages, strict=True):
        bars = rows[panel["layer"][0]["data"]["name"]]
        assert [row["futures"] for row in bars] == list(package.counts)
        mark = rows[panel["layer"][1]["data"]["name"]][0]
        told = package.outcome
        assert (mark["low"], mark["worst"]) == (told.p10, told.worst_tenth)
        assert mark["mean"] == told.mean  # on the scale of the bars: a cost is none


def test_all_panels_share_one_scale_and_no_colour_tells_anything() -> None:
    specification = drawn()
    assert specification["resolve"]["scale"] == {"x": "shared", "y": "shared"}
    assert all(
        "color" not in layer["encoding"]
        for panel in specification["vconcat"]
        for layer in panel["layer"]
    )


def test_it_can_be_made_into_a_picture() -> None:
    cases, answer = comparisons.cases(), comparisons.comparison()
    chart = npc_chart(
        count_rows(cases, answer), spread_marks(cases, answer), currency="USD", title="Costs"
    )
    assert image(chart, "svg").startswith(b"<svg")


def test_one_quote_alone_is_told_without_case_names_rates_or_runner_up() -> None:
    answer = comparisons.comparison()
    alone = answer.model_copy(
        update={"packages": answer.packages[:1], "quotes": answer.quotes[:1], "rate_date": None}
    )
    said = terminal_text(compare_page(comparisons.cases()[:1], alone, DOLLARS), width=100)
    assert "Demo mill-turn: side by side" in said
    assert "Best is A, Advice: $372,000.50 now" in said
    for word in ("as quoted", "too close", "Rates move", "demo-shop."):
        assert word not in said
