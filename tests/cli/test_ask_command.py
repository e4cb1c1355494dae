"""`optioneer ask`: a list, or a conversation whose answers are kept one by one."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from optioneer.cli import app
from optioneer.files.case.read import read_case
from optioneer.files.case.write import write_case
from tests.study.unknowns.test_worth_of_knowing import now_or_never


@pytest.fixture
def case(tmp_path: Path) -> Path:
    folder = tmp_path / "case"
    told = now_or_never(0.38)
    cheap = told.machine.model_copy(update={"base_price": 20e3})  # less is worth a question
    write_case(told.model_copy(update={"machine": cheap}), folder)
    return folder


def ask(case: Path, *arguments: object, typed: str = "") -> Result:
    words = ["ask", str(case), "--futures", "256", *map(str, arguments)]
    return CliRunner().invoke(app, words, input=typed)


def chance(case: Path) -> float:
    return read_case(case).growth.stream[0].likely_chance


def test_the_list_names_who_can_answer(case: Path) -> None:
    result = ask(case, "--list")
    assert result.exit_code == 0, result.output
    assert "Does 'work' come?" in result.stdout
    assert "the customer" in result.stdout


def test_the_list_as_json(case: Path) -> None:
    told = json.loads(ask(case, "--json", "-").stdout)
    assert told["questions"][0]["what"] == "chance"


def test_an_answer_is_in_the_folder_before_the_next_question(case: Path) -> None:
    result = ask(case, typed="35\n")  # and then the line is cut
    assert result.exit_code == 0, result.output
    assert chance(case) == 0.35


def test_what_is_not_understood_is_asked_again(case: Path) -> None:
    result = ask(case, typed="perhaps\n36\nq\n")
    assert "'perhaps' is not understood" in result.stderr
    assert chance(case) == 0.36


def test_the_last_answer_can_be_taken_back(case: Path) -> None:
    before = (case / "growth.toml").read_text(encoding="utf-8")
    ask(case, typed="35\nb\nq\n")
    assert (case / "growth.toml").read_text(encoding="utf-8") == before


def test_who_answered_what_is_kept_and_not_asked_again(case: Path) -> None:
    ask(case, typed="35\n")
    told = read_case(case)
    (line,) = told.sources or ()
    key = f"stream/{told.growth.stream[0].id}/chance"
    assert (line.key, line.value, line.who) == (key, "0.35", "customer")
    assert "does 'work' come" not in ask(case, typed="q\n").stdout


def test_a_question_left_open_changes_nothing(case: Path) -> None:
    before = (case / "growth.toml").read_text(encoding="utf-8")
    ask(case, typed="\n\nq\n")
    assert (case / "growth.toml").read_text(encoding="utf-8") == before


@pytest.mark.parametrize(("word", "then"), [("n", 0.9), ("o", 0.38)])
def test_what_contradicts_the_case_stands_beside_it_and_somebody_chooses(
    case: Path, word: str, then: float
) -> None:
    result = ask(case, typed=f"90\n{word}\nq\n")
    assert "The case says 38% (28% to 48%); this answer says 90%" in result.stdout
    assert chance(case) == then
