import random
import re
import shutil
import zipfile
from functools import cache
from io import BytesIO
from itertools import cycle
from pathlib import Path

import pytest
from hypothesis import Phase, given, settings
from openpyxl import Workbook as OpenWorkbook
from openpyxl import load_workbook

from optioneer.errors import CaseError, RequestError
from optioneer.files.case.read import read_case
from optioneer.files.case.write import write_case, write_new_case
from optioneer.files.plain import source
from optioneer.files.workbook.reading import workbook_case
from optioneer.forms.columns import Column
from optioneer.forms.sheets import FORMS, LISTINGS, LISTS, ORDER, REFERS
from optioneer.model.case import Case
from optioneer.model.paying import LeasePlan, LoanPlan, StagedPlan
from optioneer.reports.sheets.entry import entry_workbook
from tests.files.random_cases import NAME, cases
from tests.files.workbook.workbooks import (
    edited,
    faults_after,
    faults_of,
    loaded,
    members,
    saved,
    zipped,
)
from tests.reports.papers import filled

DEMOS = Path(__file__).parents[3] / "catalogs_demo"
MILL_TURN = read_case(DEMOS / "mill-turn")
BOOK = entry_workbook(MILL_TURN)


def back(data: bytes, name: str) -> Case:
    return workbook_case(data, name=name).case


def test_out_and_in_again_changes_nothing() -> None:
    """Of the other demo with acting texts in it below."""
    assert back(BOOK, "mill-turn") == MILL_TURN


@given(cases())
@settings(max_examples=8, deadline=None, phases=(Phase.explicit, Phase.reuse, Phase.generate))
def test_any_case_comes_back_as_it_went_out(case: Case) -> None:
    assert back(entry_workbook(case), NAME) == case


def test_the_files_of_a_case_that_went_through_a_workbook_are_the_same(tmp_path: Path) -> None:
    write_case(MILL_TURN, tmp_path / "straight")
    write_new_case(back(BOOK, "mill-turn"), tmp_path / "through")
    for file in (tmp_path / "straight").iterdir():
        assert (tmp_path / "through" / file.name).read_bytes() == file.read_bytes()


def test_taking_an_unchanged_workbook_into_its_case_touches_no_file(tmp_path: Path) -> None:
    shutil.copytree(DEMOS / "mill-turn", tmp_path / "case")
    before = {p.name: (p.read_bytes(), p.stat().st_mtime_ns) for p in (tmp_path / "case").iterdir()}
    write_case(back(BOOK, "case"), tmp_path / "case", keep=True)
    after = {p.name: (p.read_bytes(), p.stat().st_mtime_ns) for p in (tmp_path / "case").iterdir()}
    assert after == before


def test_what_a_taken_in_workbook_replaces_is_kept(tmp_path: Path) -> None:
    shutil.copytree(DEMOS / "mill-turn", tmp_path / "case")
    old = (tmp_path / "case" / "growth.toml").read_bytes()
    changed = edited(BOOK, {("growth", "C5"): 0.11})
    write_case(back(changed, "case"), tmp_path / "case", keep=True)
    assert read_case(tmp_path / "case").growth.discount_rate == 0.11
    assert (tmp_path / "case" / "growth.toml.old").read_bytes() == old


def test_a_new_folder_appears_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("optioneer.files.plain.atomic._fill", full)
    with pytest.raises(RequestError, match="No space left"):
        write_new_case(MILL_TURN, tmp_path / "new")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_holds_something_is_not_written_over(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(RequestError, match="is not empty"):
        write_new_case(MILL_TURN, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


CELLS: tuple[tuple[str, str, object, str], ...] = (
    ("streams", "D5", 1.4, "stream 'everyday', chance): 1.4 is above 1. A chance lies"),
    ("options", "F6", -12, "option 'tool-magazine-80', price): -12 is below zero. Prices are"),
    ("options", "F7", "11.500", "price): '11.500' can be read as 11500 or as 11.5. Write"),
    ("options", "K6", "retrofit", "fitting): 'retrofit' is not known here. Did you mean"),
    ("options", "B8", "", "option): is blank. Wanted: id, unique in the catalogue"),
    ("growth", "C5", "9 %", "'9 %' has a percent sign. Write the fraction: 0.2 for 20 %"),
    ("machine", "C14", "1/3/2027", "'1/3/2027' is not a date. Write a date as year-month-day"),
    ("machine", "C7", None, "machine, margin_per_day): is blank. Wanted: earned on a normal"),
    ("dealer_stages", "C6", "some day", "dealer, stages, item 2, when): 'some day' is no day"),
    ("ways", "B5", "robot-serie", "there is no stream 'robot-serie'. Did you mean"),
    ("loadings", "C5", "automat", "there is no driver 'automat'. Did you mean"),
    ("call_outs", "C6", "a lot", "'a lot' is not a number"),
    ("streams", "H5", None, "is blank. Give low, likely and high, or none of the three"),
    ("growth", "C3", "=1/0", "is a formula whose value was not saved."),
    ("plans", "B6", "staged", "'staged' is already taken by row 5"),
    ("options", "H5", "perhaps", "standard): 'perhaps' is neither yes nor no"),
)
"""A sheet, a cell, what somebody wrote into it, and what is told."""

NAMES: tuple[tuple[str, str, object, str], ...] = (
    ("ways", "C5", "robot-cel", "way 1, options): there is no option 'robot-cel'. Did you"),
    ("stages", "B5", "stagd", "there is no plan 'stagd'. Did you mean 'staged'?"),
)
"""The same where what is written names something that is not there."""

FRAMES: tuple[tuple[str, str, object, str], ...] = (
    ("streams", "D2", "chanse", "sheet 'streams', cell D2: 'chanse' is not a known heading."),
    ("streams", "D2", "chanse", "sheet 'streams': the column 'chance' is missing."),
    ("drivers", "A2", None, "sheet 'drivers': no row begins with the word 'heading'."),
    ("streams", "A9", "mine", "cell A9: stands in a column without a heading."),
    (
        "machine",
        "B5",
        "base_prise",
        "cell A5: 'base_prise' is not a known key. Did you mean 'base_price'?",
    ),
    ("machine", "B5", "base_prise", "sheet 'machine': rows are missing: machine base_price."),
    ("growth", "B6", "periods_per_year", "cell B6: 'periods_per_year' stands twice."),
)


@cache
def told(edits: tuple[tuple[str, str, object, str], ...]) -> tuple[str, ...]:
    """What is told once everything is written at once."""
    return faults_after(BOOK, {(sheet, cell): value for sheet, cell, value, _ in edits})


@pytest.mark.parametrize(("sheet", "cell", "value", "sentence"), CELLS)
def test_a_fault_names_sheet_and_cell(sheet: str, cell: str, value: object, sentence: str) -> None:
    at_the_cell = [text for text in told(CELLS) if f"sheet '{sheet}', cell {cell}" in text]
    assert any(sentence in text for text in at_the_cell), (value, told(CELLS))


@pytest.mark.parametrize(("sheet", "cell", "value", "sentence"), NAMES)
def test_a_name_of_nothing_is_told_at_its_cell(
    sheet: str, cell: str, value: object, sentence: str
) -> None:
    at_the_cell = [text for text in told(NAMES) if f"sheet '{sheet}', cell {cell}" in text]
    assert any(sentence in text for text in at_the_cell), (value, told(NAMES))


@pytest.mark.parametrize(("sheet", "cell", "value", "sentence"), FRAMES)
def test_a_fault_of_the_frame_is_told(sheet: str, cell: str, value: object, sentence: str) -> None:
    assert any(sentence in text for text in told(FRAMES)), (sheet, cell, value, told(FRAMES))


def test_all_faults_are_told_at_once_in_the_order_of_the_sheets() -> None:
    sheets = [re.findall(r"sheet '(\w+)'", text)[0] for text in told(CELLS)]
    assert {*sheets} >= {sheet for sheet, *_ in CELLS}
    assert sheets == sorted(sheets, key=ORDER.index)


def test_a_blank_workbook_asks_for_what_every_case_needs() -> None:
    found = [str(fault) for fault in faults_of(entry_workbook(None))]
    assert sum("is blank. Wanted:" in text for text in found) == len(found) - 1
    assert any("sheet 'options': holds no option" in text for text in found)


def test_a_missing_sheet_is_no_blank_one() -> None:
    book = load_workbook(BytesIO(BOOK))
    del book["ways"]
    assert [str(f) for f in faults_of(saved(book))] == [
        "case.xlsx: the sheet 'ways' is missing. Keep every sheet, blank if need be."
    ]


def test_sheets_of_ones_own_are_left_alone_and_named() -> None:
    book = load_workbook(BytesIO(BOOK))
    book.create_sheet("my sums")["A1"] = "=1+1"
    found = workbook_case(saved(book), name="mill-turn", book="case.xlsx")
    assert found.case == MILL_TURN
    assert [str(notice) for notice in found.notices] == ["case.xlsx, sheet 'my sums': is not read."]


ACTING = ("=1+1", "+1", "-1", "@a", '=HYPERLINK("http://a")', "http://a")


def test_text_that_a_spreadsheet_would_run_goes_out_and_in_as_text() -> None:
    mill = read_case(DEMOS / "small-mill")
    acting = Case.model_validate(filled(mill, cycle(ACTING), cycle(ACTING)))
    case = acting.model_copy(update={"name": mill.name})
    data = entry_workbook(case)
    sheets = [content for name, content in members(data).items() if "worksheets/sheet" in name]
    assert not any(b"<f>" in content or b"<hyperlink" in content for content in sheets)
    found = back(data, "small-mill")
    assert found == case
    assert {*ACTING} <= {option.name for option in found.catalogue.options}


def test_the_same_case_gives_the_same_bytes() -> None:
    assert entry_workbook(MILL_TURN) == BOOK


def test_headings_are_locked_entries_are_not_and_words_come_from_a_hidden_sheet() -> None:
    book = loaded(BOOK)
    assert book[LISTS].sheet_state == "hidden"
    for name in ORDER:
        assert book[name].protection.sheet
        assert book[name].data_validations.dataValidation
    for listing in LISTINGS:
        sheet = book[listing.sheet]
        assert sheet["B2"].protection.locked
        assert not sheet.column_dimensions["B"].protection.locked
        assert sheet.freeze_panes == "C5"
    fitting = [v for v in book["options"].data_validations.dataValidation if "K5" in v.sqref]
    assert fitting[0].formula1.startswith(f"{LISTS}!$")


def test_every_heading_has_a_meaning_and_every_reference_a_sheet() -> None:
    columns: list[Column] = [column for listing in LISTINGS for column in listing.columns]
    columns += [c for form in FORMS for table in form.tables.values() for c in table.columns]
    assert [column.heading for column in columns if not column.meaning] == []
    by_name = {one.sheet: {column.heading for column in one.columns} for one in LISTINGS}
    assert all(heading in by_name[sheet] for sheet, heading in REFERS.values())


def test_every_field_of_every_plan_has_a_column() -> None:
    plans = next(one for one in LISTINGS if one.sheet == "plans")
    known = {column.field for column in plans.columns} | {"stages", "steps"}
    for model in (StagedPlan, LoanPlan, LeasePlan):
        assert model.model_fields.keys() <= known


def xml_bomb(text: bytes) -> bytes:
    return zipped({**members(BOOK), "xl/sharedStrings.xml": text})


LAUGHS = b"""<?xml version="1.0"?><!DOCTYPE l [<!ENTITY a "ha">%s]>
<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>&l9;</t></si></sst>
""" % b"".join(b'<!ENTITY l%d "%s">' % (n, b"&l%d;" % (n - 1) * 10) for n in range(1, 10))

OUTSIDE = b"""<?xml version="1.0"?><!DOCTYPE l [<!ENTITY a SYSTEM "file:///etc/hostname">]>
<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>&a;</t></si></sst>
"""


def many_rows() -> bytes:
    row = b'<row><c t="n"><v>1</v></c></row>'
    head = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    sheet = head + b"<sheetData>" + row * 1_400_000 + b"</sheetData></worksheet>"
    return zipped({**members(BOOK), "xl/worksheets/sheet2.xml": sheet})


def far_cell() -> bytes:
    book = OpenWorkbook()
    sheet = book.active
    assert sheet is not None
    sheet["XFD1048576"] = 1
    return saved(book)


def long_text() -> bytes:
    return xml_bomb(b"<sst><si><t>" + b"x" * 60_000_000 + b"</t></si></sst>")


def climbing() -> bytes:
    return zipped({**members(BOOK), "../../evil.xml": b"x"})


def old_book() -> bytes:
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)


@pytest.mark.parametrize(
    ("make", "why"),
    [
        (lambda: xml_bomb(LAUGHS), "cannot be read as a workbook"),
        (lambda: xml_bomb(OUTSIDE), "cannot be read as a workbook"),
        (many_rows, "packed|rows"),
        (long_text, "would unpack to"),
        (far_cell, "is no entry workbook"),
        (climbing, "would lie outside"),
        (old_book, "old .xls file or locked with a password"),
        (lambda: bytes(source.LARGEST_FILE + 1), "bytes are read"),
        (lambda: b"", "is no workbook"),
        (lambda: zipped({f"{n}": b"" for n in range(300)}), "holds 300 files"),
    ],
)
def test_a_bomb_is_refused_with_the_reason(
    make: "type[bytes]", why: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(zipfile.ZipFile, "extractall", None)
    (fault,) = faults_of(make())
    assert re.search(why, str(fault)), fault


def damaged(data: bytes, draw: random.Random) -> bytes:
    """The bytes with a few of them changed, lost or doubled."""
    found = bytearray(data)
    for _ in range(draw.randint(1, 6)):
        place = draw.randrange(len(found))
        kind = draw.randrange(3)
        if kind == 0:
            found[place] = draw.randrange(256)
        elif kind == 1:
            del found[place : place + draw.randint(1, 60)]
        else:
            found[place:place] = draw.choice([b"1e999", b"<v>nan</v>", b"inf", b"-", b"\x00", b"9"])
    return bytes(found)


def test_damaged_workbooks_give_a_case_or_its_faults() -> None:
    draw = random.Random(7)  # noqa: S311 - a fixed seed for a test
    for _ in range(200):
        faults_of(damaged(BOOK, draw))


def test_damaged_sheets_give_a_case_or_its_faults() -> None:
    draw = random.Random(8)  # noqa: S311 - a fixed seed for a test
    files = members(BOOK)
    inner = [name for name in files if "sheet" in name or "shared" in name or "workbook" in name]
    for _ in range(20):
        name = draw.choice(inner)
        faults_of(zipped({**files, name: damaged(files[name], draw)}))


def test_a_damaged_workbook_leaves_the_case_as_it_was(tmp_path: Path) -> None:
    with pytest.raises(CaseError):
        write_new_case(back(BOOK[:-900], "case"), tmp_path / "case")
    assert list(tmp_path.iterdir()) == []
