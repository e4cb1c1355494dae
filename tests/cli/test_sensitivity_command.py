"""`optioneer sensitivity` on a small real case, through the runner."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from optioneer.cli import app
from optioneer.files.case.write import write_case
from optioneer.study.problem.futures import with_draws
from tests.study.whatif.test_whatif import now_or_never


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("case") / "now-or-never"
    write_case(with_draws(now_or_never(0.35), 256), folder)
    return folder


def run(*arguments: object) -> Result:
    return CliRunner().invoke(app, ["sensitivity", *map(str, arguments)])


def test_one_figure_at_a_time_is_the_default(case: Path, tmp_path: Path) -> None:
    result = run(case, "--json", tmp_path / "told.json", "--chart", tmp_path / "told.svg")
    assert result.exit_code == 0, result.output
    assert "ONE FIGURE AT A TIME" in result.stdout
    told = json.loads((tmp_path / "told.json").read_text(encoding="utf-8"))
    moved = [each["what"] for each in told["figures"]]
    # Work that is there from the start for a single period comes no later and lasts no shorter.
    assert moved == ["horizon", "chance", "margin", "fallback", "discount-rate"]
    assert told["futures"] == 256
    picture = (tmp_path / "told.svg").read_text(encoding="utf-8")
    assert "Chance of work" in picture


def test_all_together_and_narrowed(case: Path, tmp_path: Path) -> None:
    narrowed = ("--rate", 0, "--chance", 0.2, "--only", "chance", "--points", 64)
    chart = tmp_path / "told.svg"
    result = run(case, "--global", *narrowed, "--json", "-", "--chart", chart)
    assert result.exit_code == 0, result.output
    told = json.loads(result.stdout)
    (only,) = told["varied"]
    assert (only["low"], only["high"]) == pytest.approx((0.15, 0.55))
    assert told["npc"]["figures"][0]["total"] == pytest.approx(1.0, abs=0.1)
    assert "share of the variance explained" in chart.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (("--spread", 1.5), "Use a part below 1"),
        (("--only", "wrok"), "--only: 'wrok' is no figure that is varied."),
        (("--global", "--points", 100), "Use a power of 2"),
        (("--futures", 4), "futures: 4 is not allowed."),
        (("--chart", "told.txt"), "--chart: told.txt is no picture"),
        (("--json", "nowhere/told.json"), "is no file in an existing folder"),
    ],
)
def test_a_wish_that_makes_no_sense_is_refused(
    case: Path, wrong: tuple[object, ...], said: str
) -> None:
    result = run(case, *wrong)
    assert result.exit_code == 2
    assert said in result.stderr
    assert "Traceback" not in result.output
