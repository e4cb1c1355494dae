"""``optioneer ready`` on the demo cases and the starter, through the runner."""

import json
import re
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from optioneer.cli import app
from optioneer.files.case.read import read_case
from tests.files.folders import starter

DEMOS = Path(__file__).parents[2] / "catalogs_demo"
MILL_TURN, SMALL_MILL = DEMOS / "mill-turn", DEMOS / "small-mill"

PLAIN = dict.fromkeys(("LC_ALL", "LC_MONETARY", "LANG"))
"""No language is set."""


def run(*given: object, columns: int | None = None) -> Result:
    environment = {**PLAIN, **({} if columns is None else {"COLUMNS": str(columns)})}
    return CliRunner(env=environment).invoke(app, ["ready", *(str(part) for part in given)])


@cache
def page(*given: object, columns: int | None = None) -> str:
    """What a person sees; once, however many look at it."""
    result = run(*given, columns=columns)
    assert result.exit_code == 0, result.stderr
    return result.stdout


@cache
def answer(*given: object) -> dict[str, Any]:
    """What a program sees; once, too, so nobody changes it."""
    found: dict[str, Any] = json.loads(page(*given, "--json", "-"))
    return found


def test_the_json_fields_are_those_of_the_format() -> None:
    found = answer(MILL_TURN, "--package", "foreman")
    assert {
        "needs", "purchases", "moves", "tasks", "ready_on_delivery_chance", "first_chips",
    } <= set(found)  # fmt: skip
    assert {"id", "required", "available", "short", "unit"} <= set(found["needs"][0])
    assert {"what", "cents", "order_by", "arrives"} <= set(found["purchases"][0])
    assert set(found["moves"][0]) == {"step", "item", "from", "to", "parked"}
    assert {
        "id", "early_start", "early_finish", "late_start", "late_finish", "float_days", "critical",
        "book_by",
    } <= set(found["tasks"][0])  # fmt: skip
    assert set(found["first_chips"]) == {"p50", "p80", "p95"}
    assert 0 < found["ready_on_delivery_chance"] < 1


def transformer(found: dict[str, Any]) -> str:
    (bought,) = (p["id"] for p in found["purchases"] if p["id"].startswith("transformer-"))
    return str(bought)


def test_the_dearer_package_tips_the_transformer() -> None:
    lean, full = (answer(MILL_TURN, "--package", package) for package in ("dealer-lean", "foreman"))
    ids = [{p["id"] for p in found["purchases"]} for found in (lean, full)]
    assert ids[0] - ids[1] == {transformer(lean)}
    assert ids[1] - ids[0] == {transformer(full), "compressor-2"}
    site = read_case(MILL_TURN).site
    assert site is not None
    rating = {supply.id: supply.rating or 0.0 for supply in site.supply}
    assert rating[transformer(full)] > rating[transformer(lean)]


def test_the_page_says_the_standing_sentences_first() -> None:
    told = " ".join(page(MILL_TURN, "--package", "foreman").split())
    assert "Planning estimate only; the licensed electrician" in told[:400]
    assert "nameplate and installation drawing overrule every table" in told[:500]
    assert "A missing figure is shown as missing, never as zero." in told[:700]
    assert "rule of thumb, replace by a quote" in told


def test_a_ring_of_moves_is_told() -> None:
    told = " ".join(page(SMALL_MILL, "--package", "").split())
    assert "These wait for each other in a ring: work-bench, cupboards." in told
    assert "for a while" in told


def test_what_nobody_gave_is_missing_on_page_and_in_json() -> None:
    floor = next(n for n in answer(SMALL_MILL, "--package", "")["needs"] if n["id"] == "floor")
    assert (floor["required"], floor["short"], floor["status"]) == (None, None, "missing")
    assert "mean floor load: limit kg/m2" in page(SMALL_MILL, "--package", "")


def test_a_late_transformer_lowers_the_chance_to_be_ready() -> None:
    plain = answer(MILL_TURN, "--package", "foreman")
    shift = f"{transformer(plain)}=60"
    late = answer(MILL_TURN, "--package", "foreman", "--late", shift)
    assert late["ready_on_delivery_chance"] < plain["ready_on_delivery_chance"] - 0.2


def test_a_machine_two_weeks_early_comes_two_weeks_early() -> None:
    plain, early = (
        date.fromisoformat(answer(MILL_TURN, "--package", "foreman", *more)["delivery"])
        for more in ((), ("--late", "build=-14"))
    )
    assert (plain - early).days == 14


@pytest.mark.parametrize(("kind", "start"), [("svg", b"<svg"), ("png", b"\x89PNG"), ("json", b"{")])
def test_the_plan_is_drawn(tmp_path: Path, kind: str, start: bytes) -> None:
    target = tmp_path / f"plan.{kind}"
    result = run(SMALL_MILL, "--package", "", "--chart", target)
    assert result.exit_code == 0
    assert target.read_bytes().startswith(start)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("--chart", "plan.gif"), "end it in .svg, .png, .pdf, .json"),
        (("--chart", "nowhere/plan.svg"), "--chart: nowhere/plan.svg is no file"),
        (("--late", "build"), "'build' is not TASK=DAYS"),
        (("--late", "crane=3"), "There is no task 'crane' to shift"),
        (("--without", "nothing-such"), "nothing-such"),
    ],
)
def test_a_mistake_gets_one_sentence_and_exit_code_2(given: tuple[str, ...], said: str) -> None:
    result = run(SMALL_MILL, "--package", "", *given)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stdout == ""


def test_a_chart_that_cannot_be_drawn_is_refused_before_the_packages_are_weighed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def weighed(*_: object, **__: object) -> None:
        pytest.fail("the work was done first")

    monkeypatch.setattr("optioneer.study.advice.package_choice.weighed_package", weighed)
    result = run(SMALL_MILL, "--chart", "plan.gif")
    assert result.exit_code == 2
    assert "end it in .svg" in result.stderr


@pytest.mark.parametrize("case", [MILL_TURN, SMALL_MILL])
@pytest.mark.parametrize("columns", [60, 80, 100, 140])
def test_no_date_is_cut_however_narrow_the_terminal(case: Path, columns: int) -> None:
    """At 100 columns the day on which a trade is wanted read `2027`."""
    found = answer(case, "--package", "")
    told = page(case, "--package", "", columns=columns)
    for booking in found["bookings"]:
        assert booking["wanted_on"] in told
    cut = re.findall(r"(?<![\d-])20\d\d(?:-\d{0,2})?(?:-\d)?(?=\s*$)", told, re.MULTILINE)
    assert [one for one in cut if len(one) < len("2027-01-01")] == []


def test_the_site_is_planned_for_what_is_ordered_and_says_what_could_come() -> None:
    (told,) = answer(SMALL_MILL, "--package", "")["reserve"]
    shown = " ".join(page(SMALL_MILL, "--package", "").split())
    assert "The site is planned for what is ordered." in shown
    assert "NOT ORDERED, COULD BE FITTED LATER" in shown
    # provided for now, days that first chips move, if provided for when fitted
    now, later = (f"€{told[key] // 100:,}" for key in ("now_cents", "later_cents"))
    assert f"{now} {told['first_chips_days']} {later}" in shown


def test_unknown_dates_are_null_in_json(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    site = (folder / "site.toml").read_text(encoding="utf-8")
    small = site.replace("service_a = 160.0", "service_a = 63.0")
    (folder / "site.toml").write_text(small, encoding="utf-8")
    result = run(folder, "--package", "", "--json", "-")
    found = json.loads(result.stdout)
    assert found["ready_on_delivery_chance"] is None
    assert found["first_chips"] is None
    assert "first chips have no date; the advice counts on" in result.stderr


def test_a_case_without_a_site_is_told_to_write_one(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    (folder / "site.toml").unlink()
    result = run(folder, "--package", "")
    assert result.exit_code == 2
    assert "no site.toml" in result.stderr


def test_the_advised_package_is_the_default(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    growth = (folder / "growth.toml").read_text(encoding="utf-8")
    fewer = re.sub(r"(?m)^futures = \d+", "futures = 64", growth)
    (folder / "growth.toml").write_text(fewer, encoding="utf-8")
    found = answer(folder)
    assert found["package"] == "advised"
    assert found["options"]


def test_check_tells_what_of_paying_and_site_was_read_and_the_dates_counted_on(
    tmp_path: Path,
) -> None:
    said = " ".join(CliRunner().invoke(app, ["check", str(SMALL_MILL)]).stdout.split())
    assert "Paying 2 ways of paying; the advice counts on none of them" in said
    assert "Site 4 supplies, 4 trades, 4 items in the way, 1 task of your own" in said
    assert "first chips 2027-08-16, 0.29 years after the order, by the site's tasks" in said
    folder = starter(tmp_path)
    for name in ("site.toml", "paying.toml"):
        (folder / name).unlink()
    without = " ".join(CliRunner().invoke(app, ["check", str(folder)]).stdout.split())
    assert "no paying.toml" in without
    assert "no site.toml" in without
