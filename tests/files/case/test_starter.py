"""The starter case explains the whole format."""

import re
from pathlib import Path

import pytest

from optioneer.errors import RequestError
from optioneer.files.case.read import read_case
from optioneer.files.case.reference import Term, terms
from optioneer.files.case.starter import NAMES, starter_text, write_starter

TERMS = terms()


@pytest.mark.parametrize("term", [term for term in TERMS if not term.file.endswith(".csv")])
def test_every_key_stands_in_the_starter_case_under_its_table(term: Term) -> None:
    text = starter_text(term.file)
    heading = re.escape(term.table)
    pattern = rf"^(# )?{term.key} = " if term.table != "[call_out]" else r"^default = "
    above = re.search(rf"^(# )?{heading}", text, re.MULTILINE) if heading else re.search("", text)
    assert above, f"no {term.table}"
    assert re.search(pattern, text[above.start() :], re.MULTILINE)


@pytest.mark.parametrize("column", [term.key for term in TERMS if term.file == "options.csv"])
def test_every_column_is_explained(column: str) -> None:
    assert re.search(rf"^# {column}  +\S", starter_text("machine.toml"), re.MULTILINE)
    assert column in starter_text("options.csv").splitlines()[0].split(",")


def test_every_term_has_a_meaning() -> None:
    assert [term.key for term in TERMS if not term.meaning.endswith((".", "]"))] == []


def test_it_is_written_into_a_new_folder_and_its_parents(tmp_path: Path) -> None:
    write_starter(tmp_path / "quotes" / "mill")
    assert sorted(p.name for p in (tmp_path / "quotes" / "mill").iterdir()) == sorted(NAMES)


def test_it_is_not_written_into_a_folder_that_holds_something(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("dear", encoding="utf-8")
    with pytest.raises(RequestError, match=r"is not empty \(it holds letter.txt\)"):
        write_starter(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_hidden_files_such_as_those_of_version_control_do_not_count(tmp_path: Path) -> None:
    (tmp_path / ".git").mkdir()
    write_starter(tmp_path)
    assert (tmp_path / "machine.toml").exists()


def test_a_file_in_the_place_of_the_folder_is_told(tmp_path: Path) -> None:
    (tmp_path / "case").touch()
    with pytest.raises(RequestError, match="cannot be made"):
        write_starter(tmp_path / "case")


def test_what_is_a_remark_in_the_ways_of_paying_can_be_used_as_it_stands(tmp_path: Path) -> None:
    write_starter(tmp_path / "case")
    file = tmp_path / "case" / "paying.toml"
    text = re.sub(
        r"^# (\[|[a-z_]+ = )", r"\1", file.read_text(encoding="utf-8"), flags=re.MULTILINE
    )
    # an offered instalment is level: it goes with no steps
    file.write_text(text.replace("payment = 1650.00", "# payment = 1650.00"), encoding="utf-8")
    paying = read_case(tmp_path / "case").paying
    assert paying is not None
    assert [plan.id for plan in paying.plan] == ["staged", "bank", "lease"]
