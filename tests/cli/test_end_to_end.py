"""The real command on real cases, as a person or a program runs it."""

import json
import os
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from optioneer.cli import app
from optioneer.files.case.read import read_case
from optioneer.study.advice.advice import advice, package_value
from optioneer.study.advice.request import AdviceRequest, PackageRequest
from tests.cases_as_texts import few, mill
from tests.patience import PATIENCE

ROOT = Path(__file__).parents[2]
SMALL = ROOT / "catalogs_demo" / "small-mill"


@pytest.fixture(scope="module")
def fewer(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Less of the small mill: what command and study agree on hangs on no number."""
    folder = tmp_path_factory.mktemp("fewer") / "small-mill"
    folder.mkdir()
    for name, text in few(mill(64), "night-lots", "pallet-loader").items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def optioneer(*arguments: str, cwd: Path = ROOT) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "optioneer", *arguments],
        capture_output=True,
        text=True,
        check=False,
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT), "LC_ALL": "C.UTF-8"},
        timeout=PATIENCE,
    )


@cache
def advised(case: Path) -> tuple[str, dict[str, Any]]:
    """What `advise` says, and what it writes down for a program, started as a program starts it.

    Once, however many look at it.
    """
    file = case.with_name("advice.json")
    told = optioneer("advise", str(case), "--json", str(file))
    assert told.stderr == ""
    assert told.returncode == 0
    answer: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return told.stdout, answer


def told_here(*arguments: str) -> Result:
    """What the command says without a process of its own, which takes longer than most answers."""
    return CliRunner(env={"LC_ALL": "C.UTF-8"}).invoke(app, list(arguments))


def answered_here(*arguments: str) -> dict[str, Any]:
    told = told_here(*arguments, "--json", "-")
    assert told.exit_code == 0, told.output
    answer: dict[str, Any] = json.loads(told.stdout)
    return answer


def test_advise_answers_with_the_figures_of_the_study(fewer: Path) -> None:
    _, told = advised(fewer)
    assert told == advice(AdviceRequest(read_case(fewer), prove=True)).model_dump(mode="json")
    assert set(told) >= {
        "case",
        "currency",
        "futures",
        "seed",
        "advised",
        "packages",
        "options",
        "frontier",
        "information",
    }


def test_value_answers_with_the_same_figures_as_advise(fewer: Path) -> None:
    ready = next(p for p in read_case(fewer).packages if p.id == "ready-for-the-loader")
    told = answered_here(
        "value",
        str(fewer),
        "--package",
        ",".join(ready.options),
        *(["--without", ",".join(ready.without)] if ready.without else []),
    )
    beside = next(one for one in advised(fewer)[1]["packages"] if one["id"] == ready.id)
    assert {**told, "id": ready.id} == beside


def test_the_empty_package_is_the_bare_standard_machine(fewer: Path) -> None:
    told = answered_here("value", str(fewer), "--package", "")
    assert told == package_value(PackageRequest(read_case(fewer))).model_dump(mode="json")
    assert told["price"] == read_case(fewer).machine.base_price


@pytest.mark.parametrize("name", ["base", "all", "advised"])
def test_a_package_is_valued_by_the_name_that_the_advice_gives_it(fewer: Path, name: str) -> None:
    """`cash` and `ready` took these names, `value` refused them."""
    _, told = advised(fewer)
    beside = {one["id"]: one for one in (*told["packages"], told["advised"])}[name]
    valued = answered_here("value", str(fewer), "--package", name)
    assert {**valued, "id": name} == beside


def test_futures_and_seed_are_those_asked_for(fewer: Path) -> None:
    told = answered_here("advise", str(fewer), "--futures", "128", "--seed", "3")
    assert (told["futures"], told["seed"]) == (128, 3)


def test_a_budget_limits_the_price(fewer: Path) -> None:
    told = answered_here("advise", str(fewer), "--budget", "85000")
    assert told["budget"] == 85000.0
    assert told["advised"]["price"] <= 85000.0


def test_advise_tells_the_order_in_words(fewer: Path) -> None:
    told, _ = advised(fewer)
    assert "ORDER NOW" in told
    assert "Order " in told
    assert "\x1b" not in told


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["advise", "no-such-folder"], "no-such-folder"),
        (["advise", str(SMALL), "--budget", "10"], "is below the cheapest package"),
        (["value", str(SMALL), "--package", "rotary-tabel"], "rotary-table"),
        (["value", str(SMALL), "--package", "rotary-table"], "requires"),
        (["advise", str(SMALL), "--futures", "3"], "16"),
        (["ready", str(SMALL), "--without", "chip-auger"], "name the package too"),
        (["cash", str(SMALL), "--without", "chip-auger"], "name the package too"),
    ],
)
def test_a_mistake_is_one_sentence_and_exit_code_2(arguments: list[str], said: str) -> None:
    told = told_here(*arguments)
    assert told.exit_code == 2
    assert isinstance(told.exception, SystemExit)
    assert said in told.stderr
    assert told.stdout == ""


def test_a_mistake_has_no_traceback_where_a_person_sees_it() -> None:
    told = optioneer("value", str(SMALL), "--package", "rotary-tabel")
    assert told.returncode == 2
    assert "rotary-table" in told.stderr
    assert "Traceback" not in told.stderr
    assert told.stdout == ""


def test_a_failing_command_leaves_no_answer_file(tmp_path: Path) -> None:
    told = told_here("advise", str(SMALL), "--budget", "10", "--json", str(tmp_path / "a.json"))
    assert told.exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_what_if_starts_from_the_advice_and_names_a_wrong_name(fewer: Path) -> None:
    told = answered_here("whatif", str(fewer), "--chance", "night-lots=x1.2")
    assert (
        told["before"] == advice(AdviceRequest(read_case(fewer))).model_dump(mode="json")["advised"]
    )
    assert told["changes"][0]["after"] == pytest.approx(1.2 * told["changes"][0]["before"])
    wrong = told_here("whatif", str(fewer), "--chance", "nigth-lots=0.5")
    assert wrong.exit_code == 2
    assert "Did you mean 'night-lots'?" in wrong.stderr


def test_turning_tells_a_verdict_a_value(fewer: Path) -> None:
    told = answered_here("turning", str(fewer), "--driver", "automation", "--steps", "2")
    assert [point["at"] for point in told["points"]] == [-2.0, 2.0]
    assert {len(option["verdicts"]) for option in told["options"]} == {2}
    assert any(option["turns"] for option in told["options"])
