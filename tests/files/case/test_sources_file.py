"""``sources.csv``: read, appended to, carried by the workbook, faults named by row."""

from datetime import date
from pathlib import Path

import pytest

from optioneer.errors import CaseError
from optioneer.files.case.read import read_case
from optioneer.files.case.sources_file import read_sources
from optioneer.files.case.starter import write_starter
from optioneer.files.case.write import write_case
from optioneer.files.plain.source import Source
from optioneer.files.workbook.reading import workbook_case
from optioneer.model.sources import with_source
from optioneer.reports.sheets.entry import entry_workbook


def test_a_word_is_added_below_and_what_is_there_keeps_every_byte(tmp_path: Path) -> None:
    write_starter(tmp_path / "shop")
    file = tmp_path / "shop/sources.csv"
    before = file.read_bytes()
    told = with_source(
        read_case(tmp_path / "shop"),
        "machine/base_price",
        source="quoted",
        who="=dealer",
        day=date(2027, 1, 15),
    )
    write_case(told, tmp_path / "shop")
    assert file.read_bytes().startswith(before)
    added = file.read_text(encoding="utf-8").splitlines()[-1]
    assert added == "machine/base_price,quoted,98500,'=dealer,2027-01-15,"
    assert read_case(tmp_path / "shop") == told


def test_a_case_without_sources_has_no_such_file(tmp_path: Path) -> None:
    write_starter(tmp_path / "shop")
    bare = read_case(tmp_path / "shop").model_copy(update={"sources": None})
    write_case(bare, tmp_path / "other")
    assert not (tmp_path / "other/sources.csv").exists()


def test_it_comes_back_from_a_workbook(tmp_path: Path) -> None:
    write_starter(tmp_path / "shop")
    known = read_case(tmp_path / "shop")
    told = with_source(
        known, "growth/discount_rate", who="bank", day=date(2027, 1, 15), note="a, b"
    )
    back = workbook_case(entry_workbook(told), name="shop", book="shop.xlsx").case
    assert back.sources == told.sources


FAULTS = {
    "key,source,value,who,date,note\na,heard,1,,,\n": "row 2, source: 'heard' is not known",
    "key,source,date\na,told,1.2.2027\n": "row 2, date: '1.2.2027' is not a date",
    "key,source,value\n,told,1\n": "row 2, key",
    "key,sauce\na,told\n": "'sauce' is not a known heading",
}


@pytest.mark.parametrize("text", FAULTS)
def test_a_fault_names_its_row(text: str) -> None:
    found = read_sources(Source("sources.csv", text)).faults
    assert any(FAULTS[text] in str(fault) for fault in found), found


def test_a_text_that_is_no_table_is_refused() -> None:
    with pytest.raises(CaseError, match="holds no known heading"):
        read_sources(Source("sources.csv", "hello\n"))
