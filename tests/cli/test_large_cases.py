"""What the commands do with a case that has too many packages to value them all.

A small case counts as one: no package is left that may be valued with all others.
"""

import ctypes
import json
import os
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from optioneer.cli import app
from optioneer.cli.progress import progress_bar, weighing
from optioneer.files.case.write import write_case
from optioneer.model.case import Case
from optioneer.study.problem import clusters as problem
from optioneer.study.problem.futures import with_draws
from optioneer.study.search import large, search
from optioneer.valuation.large.programme import Programme
from optioneer.valuation.lattice.levels import Levels, Terms
from tests.oracle.cases import blocked, case_of, certain, option, stream

TALL = "chuck-tall"


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("case") / "blocked"
    write_case(with_draws(blocked(), 64), folder)
    return folder


@pytest.fixture(autouse=True)
def _too_many_packages(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(problem, "LARGEST_SWEEP", 0)


def run(*arguments: object) -> Result:
    return CliRunner().invoke(app, [str(each) for each in arguments])


def told(*arguments: object) -> dict[str, object]:
    result = run(*arguments, "--json", "-")
    assert result.exit_code == 0, result.output
    answer: dict[str, object] = json.loads(result.stdout)
    return answer


def test_advise_searches_and_tells_the_gap(case: Path) -> None:
    search = told("advise", case, "--time-limit", 600)["search"]
    assert isinstance(search, dict)
    assert search["batches"] == large.BATCHES
    assert search["gap"] >= 0.0
    assert search["stopped"] is None


def test_compare_tells_of_packages_that_the_search_drops_what_it_tells_of_all(
    case: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = ("compare", case, "--package", TALL, "--package", "gantry,chuck-flat")
    monkeypatch.setattr(search.Search, "kept", lambda found: [found.best])
    searched = told(*asked)
    monkeypatch.setattr(problem, "LARGEST_SWEEP", 2**25)
    swept = told(*asked)
    assert (searched.pop("searched"), swept.pop("searched")) == (True, False)
    assert searched == approximately(swept)


def approximately(answer: object) -> object:
    """The same, numbers within rounding."""
    if isinstance(answer, dict):
        return {key: approximately(value) for key, value in answer.items()}
    if isinstance(answer, list):
        return [approximately(value) for value in answer]
    return pytest.approx(answer, rel=1e-9, abs=1e-6) if isinstance(answer, float) else answer


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["advise", "--break-even"], "--break-even needs every package valued"),
        (["advise", "--risk", "cvar"], "--risk cvar needs every package valued"),
        (["advise", "--precision", "1%"], "--precision needs every package valued"),
        (["sensitivity"], "Sensitivity needs every package valued"),
        (["sensitivity", "--global"], "Sensitivity needs every package valued"),
    ],
)
def test_what_needs_every_package_is_refused(case: Path, arguments: list[str], said: str) -> None:
    command, *rest = arguments
    result = run(command, case, *rest)
    assert result.exit_code == 2
    assert result.stderr.startswith(said)
    assert result.stderr.count("\n") == 1


@pytest.mark.parametrize("other", [["--risk", "cvar"], ["--precision", "1%"]])
def test_a_time_limit_beside_what_makes_no_search_is_refused(case: Path, other: list[str]) -> None:
    result = run("advise", case, "--time-limit", 10, *other)
    assert result.exit_code == 2
    assert f"{' '.join(other[:1])}" in result.stderr


@pytest.mark.parametrize("command", ["advise", "compare", "whatif", "turning"])
def test_no_time_at_all_is_refused(case: Path, command: str) -> None:
    figure = {"whatif": ["--price", "gantry=x2"], "turning": ["--discount-rate"]}
    result = run(command, case, *figure.get(command, []), "--time-limit", 0)
    assert result.exit_code == 2
    assert result.stderr == "--time-limit 0 is not above 0. Give seconds.\n"


def test_whatif_keeps_the_old_advice_among_the_packages_valued(case: Path) -> None:
    answer = told("whatif", case, "--price", "gantry=x2", "--time-limit", 600)
    assert answer["searched"] is True
    assert isinstance(answer["keeping_costs"], float)
    assert answer["keeping_costs"] >= 0.0


def test_turning_searches_at_each_value(case: Path) -> None:
    figure = ("--price", "gantry", "--steps", 2)
    answer = told("turning", case, *figure, "--time-limit", 600)
    assert answer["searched"] is True
    page = " ".join(run("turning", case, *figure).stdout.split())
    assert "the best that a search found" in page


def test_value_searches_nothing(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(Programme, "solution")
    monkeypatch.setattr(large, "cheapest_order", cheapest_found)
    monkeypatch.setattr(large, "dearest", cheapest_found)
    assert told("value", case, "--package", TALL)["options"] == [TALL]


def cheapest_found(terms: Terms) -> Levels:
    return (0,) * len(terms.names)


def test_what_solvers_print_stays_out_of_the_answer(
    case: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    solved = Programme.solution

    def talkative(made: Programme, asked: object) -> object:
        os.write(1, b"a solver's line\n")
        return solved(made, asked)  # type: ignore[arg-type]  # handed on as it came

    monkeypatch.setattr(Programme, "solution", talkative)
    app(["advise", str(case), "--json", "-"], standalone_mode=False)
    out, err = capfd.readouterr()
    assert json.loads(out)["case"] == "blocked"
    assert "a solver's line" in err


@pytest.mark.skipif(sys.platform == "win32", reason="the C library has another name there")
def test_not_even_what_a_library_holds_back(capfd: pytest.CaptureFixture[str]) -> None:
    with progress_bar("Working"):
        ctypes.CDLL(None).printf(b"held back\n")
    print("the answer")  # noqa: T201 - what is tested
    out, err = capfd.readouterr()
    assert out == "the answer\n"
    assert "held back" in err


def many(count: int, slot: str | None = None) -> Case:
    """So many options that share a kind of work, in one slot if it is told."""
    more = {} if slot is None else {"slot": slot}
    names = [f"option-{k}" for k in range(count)]
    work = [stream("work", certain(1.0), 9e3, [name]) for name in names]
    ways = tuple(way for each in work for way in each.way)
    options = [option(name, 5e3).model_copy(update=more) for name in names]
    return with_draws(case_of(options, [work[0].model_copy(update={"way": ways})]), 512)


def test_the_bar_says_what_takes_long(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(problem, "LARGEST_SWEEP", 2**25)
    assert weighing(many(3)) == "Weighing the packages"
    assert weighing(many(3), many(10)) == (
        "Weighing 1,024 packages of 10 slots tied together, 512 futures"
    )
    assert weighing(many(200, "chuck")) == "Weighing 201 packages of slot chuck, 512 futures"
    assert weighing(many(20)) == ("Searching the packages of 20 slots tied together, 512 futures")
