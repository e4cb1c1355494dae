"""Files as editors and spreadsheets save them: taken with certainty or refused with a reason."""

import codecs
import csv
import re
from pathlib import Path

import pytest

from optioneer.files.case.read import read_case
from tests.files.folders import edit, refused, starter

SAVE = "Save it as UTF-8 (in a spreadsheet: 'CSV UTF-8')."
FILES = ("machine.toml", "options.csv", "growth.toml")


def rewritten(folder: Path, file: str, encoding: str) -> None:
    text = (folder / file).read_text(encoding="utf-8")
    (folder / file).write_bytes(text.encode(encoding))


def separated(folder: Path, mark: str, *, comma: bool = False) -> None:
    """Save the table with another separator, and with decimal commas if wanted."""
    path = folder / "options.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    numbers = re.compile(r"[0-9]+[.][0-9]+")
    if comma:
        rows = [[c.replace(".", ",") if numbers.fullmatch(c) else c for c in row] for row in rows]
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, delimiter=mark).writerows(rows)


@pytest.mark.parametrize("file", FILES)
def test_a_byte_order_mark_changes_nothing(tmp_path: Path, file: str) -> None:
    folder = starter(tmp_path)
    before = read_case(folder)
    (folder / file).write_bytes(codecs.BOM_UTF8 + (folder / file).read_bytes())
    assert read_case(folder) == before


@pytest.mark.parametrize("file", FILES)
def test_line_ends_of_windows_change_nothing(tmp_path: Path, file: str) -> None:
    folder = starter(tmp_path)
    before = read_case(folder)
    (folder / file).write_bytes((folder / file).read_bytes().replace(b"\n", b"\r\n"))
    assert read_case(folder) == before


def test_line_ends_of_old_macs_change_nothing_in_a_table(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    before = read_case(folder)
    path = folder / "options.csv"
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r"))
    assert read_case(folder) == before


@pytest.mark.parametrize("mark", [";", "\t", "|"])
@pytest.mark.parametrize("comma", [False, True])
def test_a_table_of_another_separator_is_the_same_case(
    tmp_path: Path, mark: str, *, comma: bool
) -> None:
    folder = starter(tmp_path)
    before = read_case(folder)
    separated(folder, mark, comma=comma)
    assert read_case(folder) == before


def test_a_number_that_a_spreadsheet_may_have_grouped_is_refused(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    separated(folder, ";")
    edit(folder, "options.csv", (";180;", ";1.180;"))
    assert refused(folder) == (
        "options.csv, row 5, option 'coolant-30-bar', mass_kg: "
        "'1.180' can be read as 1180 or as 1.18. Write 1180 or 1.18."
    )


def test_a_list_without_quotes_does_not_shift_the_columns(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    separated(folder, ";")
    edit(folder, "options.csv", ('"auto-door;tool-setter"', "auto-door;tool-setter"))
    assert refused(folder) == (
        "options.csv, row 11: has 29 cells where the first row has 28. "
        'Put a list in quotes, "a;b", or take out a semicolon.'
    )


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf_16_is_refused_with_the_way_out(tmp_path: Path, encoding: str) -> None:
    folder = starter(tmp_path)
    rewritten(folder, "options.csv", encoding)
    told = refused(folder)
    assert told.startswith("options.csv")
    assert told.endswith(SAVE)
    assert "UTF-16" in told or "NUL" in told


@pytest.mark.parametrize("encoding", ["cp1252", "latin-1", "cp1250"])
def test_eight_bit_letters_are_refused_and_not_guessed(tmp_path: Path, encoding: str) -> None:
    folder = starter(tmp_path)
    edit(folder, "options.csv", ("Work probe", "Meßtaster"))
    rewritten(folder, "options.csv", encoding)
    assert refused(folder) == f"options.csv, line 6: byte 0xDF is not UTF-8 text. {SAVE}"


@pytest.mark.parametrize("file", FILES)
def test_a_nul_byte_is_told_with_its_line(tmp_path: Path, file: str) -> None:
    folder = starter(tmp_path)
    (folder / file).write_bytes((folder / file).read_bytes().replace(b"\n", b"\n\0", 1))
    assert refused(folder) == (f"{file}, line 2: holds a NUL byte, so it is no plain text. {SAVE}")


@pytest.mark.parametrize("text", ["", "\n\n", " \r\n", ",,,\n"])
def test_an_empty_table_is_told(tmp_path: Path, text: str) -> None:
    folder = starter(tmp_path)
    (folder / "options.csv").write_text(text, encoding="utf-8")
    assert refused(folder).startswith("options.csv: is empty. Its first row holds the headings")


def test_a_table_of_headings_alone_is_told(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    (folder / "options.csv").write_text("option,name,price,fitting\n", encoding="utf-8")
    assert refused(folder).splitlines()[0] == (
        "options.csv: holds no option. Write one row an option."
    )


@pytest.mark.parametrize("file", ["machine.toml", "growth.toml"])
def test_an_empty_toml_file_is_told(tmp_path: Path, file: str) -> None:
    folder = starter(tmp_path)
    (folder / file).write_bytes(b"")
    assert all(line.startswith(file) for line in refused(folder).splitlines())


def test_blank_rows_and_unnamed_blank_columns_of_spreadsheets_change_nothing(
    tmp_path: Path,
) -> None:
    folder = starter(tmp_path)
    before = read_case(folder)
    path = folder / "options.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join(f"{line},," for line in [lines[0], *lines[1:], "," * 24]) + "\n\n")
    assert read_case(folder) == before


def test_a_formula_kept_inert_behind_an_apostrophe_is_its_text(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    edit(folder, "options.csv", ("Work probe", "'=1+1"), ("Tool setter", "'tis a setter"))
    options = read_case(folder).catalogue.by_id
    assert options["work-probe"].name == "=1+1"
    assert options["tool-setter"].name == "'tis a setter"


def test_names_are_taken_in_composed_form(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    edit(folder, "options.csv", ("Work probe", "Cafe\u0301"))
    assert read_case(folder).catalogue.by_id["work-probe"].name == "Caf\u00e9"
