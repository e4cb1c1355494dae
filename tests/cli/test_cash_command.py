"""`optioneer cash`, on the demos and on a folder of its own."""

import csv
import io
import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from optioneer.cli import app
from tests.cases_as_texts import few, mill

DEMOS = Path(__file__).parents[2] / "catalogs_demo"
SMALL = str(DEMOS / "small-mill")
PLAN_KEYS = {
    "id",
    "kind",
    "entries",
    "contract_cents",
    "lowest",
    "days_below",
    "opening_needed_cents",
    "true_cost",
    "short",
    "treatments",
}
COST_KEYS = {
    "apr",
    "effective_rate",
    "xirr",
    "total_paid_cents",
    "interest_cents",
    "present_cost",
    "present_cost_after_tax",
}


def run(*arguments: str) -> Result:
    return CliRunner().invoke(app, ["cash", *arguments])


def answer(*arguments: str) -> dict[str, Any]:
    result = run(*arguments, "--json", "-")
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def test_the_json_has_exactly_the_published_names() -> None:
    found = answer(SMALL, "--package", "base")
    assert set(found) == {"currency", "plans", "cheapest", "safest", "borrows_at", "flips"}
    for plan in found["plans"]:
        assert set(plan) == PLAN_KEYS
        assert set(plan["true_cost"]) == COST_KEYS
        assert set(plan["lowest"]) == {"date", "cents"}
        assert set(plan["entries"][0]) == {
            "date",
            "cents",
            "kind",
            "what",
            "payee",
            "balance_cents",
        }


def test_contracted_payments_of_every_plan_add_up_to_the_contract() -> None:
    for package in ("base", "bare", "automatic-door,loader-interface"):
        for plan in answer(SMALL, "--package", package)["plans"]:
            contract = [e["cents"] for e in plan["entries"] if e["kind"] == "contract"]
            assert -sum(contract) == plan["contract_cents"]


def test_one_plan_alone_is_shown_day_by_day() -> None:
    result = run(SMALL, "--package", "base", "--plan", "bank")
    assert result.exit_code == 0
    assert "PLAN 'BANK', DAY BY DAY" in result.stdout
    assert "instalment 42 of 48" in result.stdout
    assert "staged" not in result.stdout.partition("WHAT EACH WAY COSTS")[2]


def few_futures(tmp_path: Path) -> Path:
    """Less of the mill: what is told hangs on no number."""
    folder = tmp_path / "few-futures"
    folder.mkdir()
    for name, text in few(mill(64)).items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_without_a_package_the_money_of_the_advised_one_is_told(tmp_path: Path) -> None:
    folder = few_futures(tmp_path)
    result = run(str(folder))
    assert result.exit_code == 0
    assert "RETROFITS THAT MAY COME" in result.stdout
    assert "Expected, not contracted" in result.stdout


def test_the_table_holds_every_entry_with_its_balance() -> None:
    result = run(SMALL, "--package", "base", "--csv", "-")
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    entries = [
        (plan["id"], entry["date"], entry["cents"], entry["balance_cents"])
        for plan in answer(SMALL, "--package", "base")["plans"]
        for entry in plan["entries"]
    ]
    assert [
        (
            row["plan"],
            row["date"],
            round(100 * float(row["amount"])),
            round(100 * float(row["balance"])),
        )
        for row in rows
    ] == entries


@pytest.mark.parametrize(("name", "head"), [("a.svg", b"<svg"), ("a.png", b"\x89PNG")])
def test_a_chart_is_saved_as_drawing_or_picture(tmp_path: Path, name: str, head: bytes) -> None:
    result = run(SMALL, "--package", "base", "--chart", str(tmp_path / name))
    assert result.exit_code == 0, result.output
    assert (tmp_path / name).read_bytes().startswith(head)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--plan", "bnak"], "There is no plan 'bnak'. Did you mean 'bank'?"),
        (["--package", "nothing-like-it"], "there is no option 'nothing-like-it'"),
        (["--package", "base", "--chart", "money.gif"], "is no picture; end it in .svg"),
        (["--package", "base", "--csv", "no/such/folder/a.csv"], "no file in an existing folder"),
        (["--without", "chip-auger"], "name the package too"),
    ],
)
def test_a_mistake_gets_one_sentence_and_exit_code_2(arguments: list[str], said: str) -> None:
    result = run(SMALL, *arguments)
    assert result.exit_code == 2
    assert said in result.stderr
    assert "Traceback" not in result.output


def test_a_case_without_ways_of_paying_says_what_to_write(tmp_path: Path) -> None:
    shutil.copytree(SMALL, tmp_path / "case")
    (tmp_path / "case" / "paying.toml").unlink()
    result = run(str(tmp_path / "case"))
    assert result.exit_code == 2
    assert "has no plan in paying.toml" in result.stderr


def test_advise_says_which_verdicts_a_way_of_paying_turns(tmp_path: Path) -> None:
    folder = few_futures(tmp_path)
    result = CliRunner().invoke(app, ["advise", str(folder), "--plan", "bank"])
    assert result.exit_code == 0
    assert "THE WAY OF PAYING" in result.stdout
    assert "The advice counts on plan 'bank'" in result.stdout
    assert "THE WAY OF PAYING" not in CliRunner().invoke(app, ["advise", str(folder)]).stdout


def test_advise_refuses_a_plan_that_is_not_there() -> None:
    result = CliRunner().invoke(app, ["advise", SMALL, "--plan", "bnak"])
    assert result.exit_code == 2
    assert "Did you mean 'bank'?" in result.stderr
