"""Pages speak as people do: no key, no file, nothing that is typed on a command line."""

import re

import pytest
from streamlit.testing.v1 import AppTest

from optioneer.app.engine.heads import choice, column_name, fault_in_words
from optioneer.app.parts.mending import to_mend
from optioneer.app.session.state import Session
from optioneer.errors import Fault
from optioneer.files.case.read import reading_of
from optioneer.files.grid.sheet_list import SHEETS
from optioneer.files.grid.sheets import columns_in, rows
from tests.app.cells import changed, filled, typing
from tests.app.visits import draft_of, small_mill
from tests.app.walks import PAGES, a_page, said, walked
from tests.patience import PATIENCE

MACHINERY = re.compile(
    r"\b[\w-]+\.(?:toml|csv)\b|(?<![\w-])--[a-z][a-z-]+|\b[a-z]+_[a-z_0-9]+\b|\boptioneer [a-z]+\b"
)
"""Files, options of commands, keys, commands."""


@pytest.mark.parametrize("word", PAGES)
def test_no_page_names_a_key_a_file_or_a_command(word: str) -> None:
    test = walked(word)
    texts = list(said(test))
    assert len(texts) > 10
    assert [found.group() for text in texts for found in MACHINERY.finditer(text)] == []


def short_names() -> set[str]:
    """Short names of the small mill that are no words of any language."""
    texts = small_mill()
    cells = [
        (key, text)
        for sheet in SHEETS.values()
        for row in rows(sheet, texts)
        for key, text in row.items()
    ]
    shorts = {text for key, text in cells if key in {"id", "option"} and "-" in text}
    names = " ".join(text for key, text in cells if key in {"name", "what"})
    return {one for one in shorts if one not in names}


@pytest.mark.parametrize("word", PAGES)
def test_no_page_calls_a_row_of_the_case_by_its_short_name(word: str) -> None:
    shorts = short_names()
    assert {"work-probe", "garage-door", "loader-ready", "service-engineer"} <= shorts
    texts = [text for text in said(walked(word)) if text not in shorts]
    either = re.compile(rf"(?<![\w-])({'|'.join(map(re.escape, shorts))})(?![\w-])")
    assert [found.group() for text in texts for found in either.finditer(text)] == []


def test_what_looks_for_machinery_finds_it() -> None:
    told = "machine.toml, --json, base_price and optioneer ask; 25 % of it, look-ahead"
    assert MACHINERY.findall(told) == ["machine.toml", "--json", "base_price", "optioneer ask"]


def test_every_figure_and_column_of_the_case_has_a_name_of_its_own_without_a_key() -> None:
    for sheet in SHEETS.values():
        heads = [column_name(column.key) for column in columns_in(sheet)]
        assert len(set(heads)) == len(heads), sheet.word
        assert not any("_" in one for one in heads)
        words = [choice(one) for column in columns_in(sheet) for one in column.choices]
        assert not any("_" in one for one in words)


@pytest.mark.parametrize("word", SHEETS)
def test_a_slip_in_a_cell_is_told_at_that_cell(word: str) -> None:
    texts = filled(word)
    sheet, slip = SHEETS[word], typing(SHEETS[word], texts).slip
    wrong = changed(sheet, texts, slip)
    try:
        reading_of("mill-turn", wrong)
    except Exception as error:  # noqa: BLE001 - whatever is wrong with it
        faults = getattr(error, "faults", ())
    cells = rows(sheet, wrong)
    found = to_mend(sheet, cells, faults)
    places = {(one.row, one.column) for one in found}
    row = next(n for n, each in enumerate(cells) if slip.text in each.values())
    key = slip.column if sheet.many else columns_in(sheet)[slip.row].key
    assert {(row, key), (row, "")} & places


def test_a_fault_calls_the_row_by_its_name_on_every_page() -> None:
    texts = small_mill()
    row = next(line for line in texts["options.csv"].splitlines() if line.startswith("work-probe,"))
    wrong = row.replace(",4700,", ",-4700,", 1)
    assert wrong != row
    texts["options.csv"] = texts["options.csv"].replace(row, wrong)
    for word in ("answer", "case_page"):
        test = AppTest.from_function(a_page, default_timeout=PATIENCE, args=(word,))
        test.session_state["optioneer"] = Session(draft=draft_of(texts))
        told = " ".join(str(each.value) for each in [*test.run().error, *test.markdown])
        assert "option 'Workpiece probe', price" in told
        assert "work-probe" not in told


def test_a_fault_names_the_part_of_the_case_and_the_figure_as_people_do() -> None:
    fault = Fault("paying.toml, account, keep_above", "-5 is below zero", "Write 0 or more.")
    assert fault_in_words(fault) == (
        "Paying, account, keep above: -5 is below zero. Write 0 or more."
    )
