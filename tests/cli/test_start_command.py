"""From a dealer's list to first advice in the terminal: few answers, no text file opened."""

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from optioneer.cli.shell import app
from optioneer.files.case.demos import demo_folders
from optioneer.files.case.read import read_case
from optioneer.model.sources import origins

MOST_ANSWERS = 25
LIST = demo_folders()[0].parent / "dealer-list.csv"


def run(*words: str | Path, answers: str = "") -> Result:
    return CliRunner().invoke(app, [str(word) for word in words], input=answers)


def asked(result: Result) -> int:
    """Questions that were answered: each ends in a colon and a blank on its line."""
    return sum(line.rstrip().endswith(":") or "]: " in line for line in result.output.splitlines())


ANSWERS = [
    "2027-01-15",  # the day of the quote
    "window",  # what nobody could place
    "y",  # the discount is the machine's
    "2027-03-01",  # the order
    "900",  # a working day
    "10",  # wanted whatever it costs
    "3,4",  # never done
]


def test_from_the_list_to_first_advice(tmp_path: Path) -> None:
    assert len(ANSWERS) <= MOST_ANSWERS
    told = run("start", LIST, tmp_path / "lathe", answers="\n".join(ANSWERS) + "\n")
    assert told.exit_code == 0, told.output
    case = read_case(tmp_path / "lathe")
    assert case.machine.base_price == 94800.0 + 1950.0 + 2300.0 - 4000.0
    assert case.machine.margin_per_day == 900.0
    assert case.dates.order.isoformat() == "2027-03-01"
    wanted = {option.name for option in case.catalogue.options if option.must}
    assert wanted == {"Automatic door"}
    assert origins(case)["machine/margin_per_day"] == "told"
    assert "No faults." in run("check", tmp_path / "lathe").output
    advised = run("advise", tmp_path / "lathe", "--futures", "64")
    assert advised.exit_code == 0, advised.output
    assert "ORDER NOW" in advised.output
    assert "you want it whatever it costs" in " ".join(advised.output.lower().split())


def test_the_answers_asked_for_are_those_given_and_no_more(tmp_path: Path) -> None:
    short = run("start", LIST, tmp_path / "lathe", answers="\n".join(ANSWERS[:-1]) + "\n")
    assert short.exit_code == 2
    assert "stopped before the last answer; nothing was written" in short.output
    assert not (tmp_path / "lathe").exists()


def test_with_yes_nothing_is_asked_and_what_is_open_is_told(tmp_path: Path) -> None:
    told = run("start", LIST, tmp_path / "lathe", "--yes", "--quoted", "2027-01-15")
    assert told.exit_code == 0, told.output
    assert "Customer request as discussed: what is it?" in told.output
    assert "Fair discount" in told.output
    case = read_case(tmp_path / "lathe")
    assert case.machine.base_price == 94800.0 + 1950.0 + 2300.0
    noted = run("check", tmp_path / "lathe")
    assert "nobody has said yet what it is" in " ".join(noted.output.split())


def test_names_and_prices_can_be_typed(tmp_path: Path) -> None:
    typed = ["Mill V4; 80000", "Probe; 5200", "Chip conveyor; 4100", ""]
    more = ["EUR", "2027-01-15", "", "", "", ""]
    told = run("start", tmp_path / "mill", answers="\n".join([*typed, *more]) + "\n")
    assert told.exit_code == 0, told.output
    case = read_case(tmp_path / "mill")
    assert case.machine.kind == "mill"
    assert {option.kind for option in case.catalogue.options} == {"probe", "conveyor"}


def test_a_kind_of_machine_to_begin_with_says_what_it_may_have(tmp_path: Path) -> None:
    typed = ["Number four; 80000", "Steady rest; 5200", ""]
    more = ["EUR", "2027-01-15", "", "", "", ""]
    words = ("start", tmp_path / "lathe", "--machine", "lathe")
    told = run(*words, answers="\n".join([*typed, *more]) + "\n")
    assert told.exit_code == 0, told.output
    assert "Sub-spindle" in told.output
    assert read_case(tmp_path / "lathe").machine.kind == "lathe"


REFUSED = {
    "no such list": (("no-list.csv", "DIR"), "no-list.csv: "),
    "no such kind": ((LIST, "DIR", "--machine", "saw"), "there is no kind 'saw'"),
    "nothing named": ((), "name the dealer's list"),
    "typed with yes": (("DIR", "--yes"), "--yes asks nothing"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_mistake_is_one_sentence(name: str, tmp_path: Path) -> None:
    words, sentence = REFUSED[name]
    told = run("start", *(tmp_path / "new" if word == "DIR" else word for word in words))
    assert told.exit_code == 2, told.output
    assert sentence in told.output
    assert "Traceback" not in told.output
    assert not (tmp_path / "new").exists()


def test_a_folder_that_holds_something_is_refused_before_anything_is_asked(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    told = run("start", LIST, tmp_path)
    assert told.exit_code == 2
    assert "is not empty" in told.output
    assert asked(told) == 0
