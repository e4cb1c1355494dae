"""`optioneer bargain` on small real cases, through the runner."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from optioneer.cli import app
from optioneer.files.case.write import write_case
from tests.study.bargain.test_bargain import now_or_never


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("case") / "now-or-never"
    write_case(now_or_never(5e3), folder)
    return folder


@pytest.fixture(scope="module")
def dearer(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("other") / "dearer"
    case = now_or_never(5e3)
    machine = case.machine.model_copy(update={"base_price": 104e3, "currency": "EUR"})
    write_case(case.model_copy(update={"machine": machine}), folder)
    return folder


def run(*arguments: object) -> Result:
    return CliRunner().invoke(app, ["bargain", *map(str, arguments)])


def test_the_sheet_is_shown_and_written_as_json(case: Path, tmp_path: Path) -> None:
    result = run(case, "--json", tmp_path / "told.json")
    assert result.exit_code == 0, result.output
    assert "THE MOST EACH IS WORTH WITH THE ORDER" in result.stdout.upper()
    told = json.loads((tmp_path / "told.json").read_text(encoding="utf-8"))
    (only,) = told["options"]
    assert only["verdict"] == "order now"
    assert only["turns_at"] == pytest.approx(8e3, rel=0.003)
    assert told["quotes"] == []


def test_another_quote_in_another_currency_is_levelled_in_its_own(case: Path, dearer: Path) -> None:
    rates = ("--rate", "EUR=1.5", "--rate-date", "2027-01-04")
    result = run(case, "--against", dearer, *rates, "--json", "-")
    assert result.exit_code == 0, result.output
    (quote,) = json.loads(result.stdout)["quotes"]
    assert quote["currency"] == "EUR"
    # 109,000 of theirs are worth 163,500; here the same costs 105,000.
    assert quote["beyond"] == pytest.approx(58.5e3)
    assert quote["discount"] == pytest.approx(39e3)


def test_a_length_that_is_not_allowed_is_one_sentence(case: Path) -> None:
    result = run(case, "--written-years", -1)
    assert result.exit_code == 2
    assert result.stderr.strip() == "--written-years -1 is not allowed. Use above 0 to 50."


def test_the_report_takes_the_same_sheet_with_it(case: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "report.html"
    report = CliRunner().invoke(app, ["report", str(case), "--with-bargain", "--out", str(sheet)])
    assert report.exit_code == 0, report.output
    turns = json.loads(run(case, "--json", "-").stdout)["options"][0]["turns_at"]
    text = sheet.read_text(encoding="utf-8")
    assert "Appendix G: how far to go with the dealer" in text
    assert f"{turns:,.0f}" in text


def test_a_sheet_within_a_budget_is_refused(case: Path, tmp_path: Path) -> None:
    words = ("--with-bargain", "--budget", "100000", "--out", str(tmp_path / "r.html"))
    report = CliRunner().invoke(app, ["report", str(case), *words])
    assert report.exit_code == 2
    assert "Leave --budget away" in report.stderr
