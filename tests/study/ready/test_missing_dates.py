"""Unknown is unknown: where something has no lead time, no date and no chance are given."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from optioneer.files.case.read import read_case, reading_of
from optioneer.files.case.starter import starter_text
from optioneer.model.machine import Package
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.money import Figures
from optioneer.reports.ready.late import late_table
from optioneer.reports.ready.page import gantt_marks, gantt_rows, ready_page
from optioneer.study.papers.diary import events
from optioneer.study.ready.answers import Readiness
from optioneer.study.ready.first_chips import undated_base, with_first_chips
from optioneer.study.ready.ready import readiness
from optioneer.study.ready.step_costs import undated_kinds
from tests.study.ready.sites import POWER, case, transformer

LISTED: dict[str, Any] = {**POWER, "plan": {"runs": 100}}
FIGURES = Figures("USD", "en_US")


def ready(site: dict[str, Any], *options: str) -> Readiness:
    return readiness(case(site), Package(id="asked", options=options))


def page(site: dict[str, Any]) -> str:
    return " ".join(terminal_text(ready_page(case(site), ready(site), FIGURES)).split())


def test_the_starter_with_a_service_too_small_is_not_ready_for_certain() -> None:
    """It said: short of service rating, chance that the site is ready 100 %."""
    names = ("machine.toml", "options.csv", "growth.toml", "site.toml")
    texts = {name: starter_text(name) for name in names}
    texts["site.toml"] = texts["site.toml"].replace("service_a = 160.0", "service_a = 63.0")
    read = reading_of("starter", texts).case
    answer = readiness(read, Package(id="base"))
    assert [need.id for need in answer.needs if need.status == "short"] == ["service"]
    assert answer.ready_on_delivery_chance is None
    assert (answer.first_chips, answer.planned_first_chips) == (None, None)
    assert answer.expected_delay_cost is None
    assert answer.late_causes == ()
    assert any("not listed" in what and "lead time" in what for what in answer.undated)


def test_with_the_supply_listed_chance_and_days_are_known() -> None:
    answer = ready(LISTED)
    assert answer.undated == ()
    assert answer.ready_on_delivery_chance == 1
    assert answer.planned_first_chips is not None
    assert not any(task.undated for task in answer.tasks)


def test_a_supply_without_a_lead_time_has_no_date_either() -> None:
    answer = ready({**LISTED, "supply": [transformer(75, 5000, lead_days=None)]})
    assert answer.undated == ("75 kVA: lead time",)
    assert answer.ready_on_delivery_chance is None
    waiting = {task.id for task in answer.tasks if task.undated}
    assert {"wiring", "site-ready", "first-chips"} <= waiting
    assert waiting.isdisjoint({"order", "build", "delivery", "drawing"})
    assert not any(task.critical for task in answer.tasks)


def test_tooling_without_a_lead_time_leaves_the_chance_of_the_site_known() -> None:
    tooling = {"id": "vises", "what": "vises", "price": 10.0, "before": "first-article"}
    answer = ready({**LISTED, "supply": [transformer(75, 5000), tooling]})
    assert answer.ready_on_delivery_chance == 1
    assert answer.first_chips is None
    assert answer.undated == ("vises: lead time",)


@pytest.mark.parametrize(
    ("site", "name"),
    [
        ({"opening": [{"id": "gate", "width_m": 1.0}]}, "width at gate"),
        ({"shop": {"supply_v": 480.0, "phases": 1}}, "phases"),
        ({"shop": {"supply_v": 480.0, "ceiling_m": 2.0}}, "height once set up"),
    ],
)
def test_what_is_short_and_nothing_meets_has_no_date(site: dict[str, Any], name: str) -> None:
    needs = {**POWER["needs"], "shipping_width_m": 2.0, "height_m": 2.5}
    answer = ready({**LISTED, "needs": needs, **site})
    assert answer.ready_on_delivery_chance is None
    assert f"{name}: short, and nothing on the list meets it" in answer.undated


def test_a_transformer_that_brings_the_voltage_meets_the_need_of_it() -> None:
    on_hand = {"transformer": [{"kva": 75.0, "primary_v": 480.0, "secondary_v": 400.0}]}
    answer = ready({**LISTED, **on_hand, "supply": []})
    assert answer.undated == ()
    assert answer.ready_on_delivery_chance == 1


def test_the_page_says_what_is_missing_and_gives_no_chance() -> None:
    said = page({**LISTED, "supply": []})
    assert "when the site is ready is unknown, and so is the chance" in said
    assert "Missing: transformer of 75 or more (not listed among the supplies): lead time." in said
    assert "First chips have no date, and not before 2026-08-" in said
    assert "chance that the site is ready when it comes is" not in said
    assert "from 2026-08-" in said


def test_chart_diary_and_what_if_have_no_day_of_first_chips_either() -> None:
    site = {**LISTED, "supply": []}
    answer = ready(site)
    assert [mark["mark"] for mark in gantt_marks(answer)] == ["machine arrives"]
    kinds = {row["task"]: row["kind"] for row in gantt_rows(answer)}
    assert kinds["first chips"] == "at the earliest"
    assert "First chips" not in {event.title for event in events(case(site), ready=answer)}
    rows = {row[0]: row[1:] for row in late_table(answer, ready(LISTED), FIGURES).rows}
    assert rows["first chips by the plan"][0] == "missing"
    assert rows["chance that the site is ready on delivery"][:2] == ("missing", "100%")


def test_the_advice_counts_on_the_earliest_day_and_says_what_it_lacks() -> None:
    bare = case({**LISTED, "supply": []})
    assert undated_base(bare)
    assert with_first_chips(bare).dates.first_chips is not None
    assert undated_base(case(LISTED)) == ()
    assert undated_base(case({**LISTED, "supply": []}, first_chips=date(2026, 10, 1))) == ()
    slow = transformer(112.5, 8000, lead_days=None)
    assert undated_kinds(case({**LISTED, "supply": [transformer(75, 5000), slow]})) == (
        "transformer",
    )


def test_no_demo_has_a_site_without_dates() -> None:
    demos = Path(__file__).parents[3] / "catalogs_demo"
    for name in ("small-mill", "mill-turn"):
        assert readiness(read_case(demos / name), Package(id="base")).undated == ()
