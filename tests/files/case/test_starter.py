"""The starter case explains the whole format."""

import re
from pathlib import Path

import pytest

from optioneer.errors import RequestError
from optioneer.files.case.options_file import COLUMNS
from optioneer.files.case.read import read_case
from optioneer.files.case.starter import NAMES, starter_text, write_starter
from optioneer.forms.schema import GROWTH, MACHINE, PAYING, TABLES, FormTable


def keys(table: FormTable) -> list[str]:
    """The keys that a file states in a table, lists with tables of their own left out."""
    fields = (field for model in table.models for field in model.model_fields.items())
    apart = {one.path[-1] for one in table.inner if not one.inline}
    found = dict.fromkeys(field.alias or name for name, field in fields)
    return ["default"] if table.pairs else [key for key in found if key not in apart]


WRITTEN = [one for one in TABLES if one.file in {MACHINE, GROWTH, PAYING} and not one.inline]
"""Tables of which the starter explains every key; of the site it shows what a shop writes first."""


def heading(table: FormTable) -> str:
    name = ".".join(table.path)
    many = table.many and not table.pairs
    return (f"[[{name}]]" if many else f"[{name}]") if name else ""


@pytest.mark.parametrize(
    ("table", "key"),
    [
        pytest.param(table, key, id=f"{table.file}-{heading(table)}-{key}")
        for table in WRITTEN
        for key in keys(table)
    ],
)
def test_every_key_stands_in_the_starter_case_under_its_table(table: FormTable, key: str) -> None:
    text = starter_text(table.file)
    above = re.search(rf"^(# )?{re.escape(heading(table))}", text, re.MULTILINE)
    assert above, f"no {heading(table)}"
    assert re.search(rf"^(# )?{key} = ", text[above.start() :], re.MULTILINE)


@pytest.mark.parametrize("column", COLUMNS)
def test_every_column_is_explained(column: str) -> None:
    assert re.search(rf"^# {column}  +\S", starter_text("machine.toml"), re.MULTILINE)
    assert column in starter_text("options.csv").splitlines()[0].split(",")


def test_every_key_and_column_has_a_meaning() -> None:
    columns = [column for table in TABLES for column in table.columns]
    assert [one.key for one in columns if not one.meaning.endswith((".", "]"))] == []


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
    # an offered instalment is level: it goes with no steps; and the dealer has days of his own
    for key in ("payment", "deposit_when"):
        text = text.replace(f"\n{key} = ", f"\n# {key} = ")
    file.write_text(text, encoding="utf-8")
    paying = read_case(tmp_path / "case").paying
    assert paying is not None
    assert [plan.id for plan in paying.plan] == ["staged", "bank", "lease"]
