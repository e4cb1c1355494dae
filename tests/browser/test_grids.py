"""What is typed into a grid is on disk, whatever else is wrong with the case meanwhile."""

import os
from collections.abc import Mapping

import pytest
from playwright.sync_api import expect

from optioneer.app.engine.drafts import Store
from optioneer.files.grid.sheet_list import GROUPS, SHEETS
from optioneer.files.grid.sheets import rows
from tests.app.cells import Cell, changed, filled, full_case, heads, typing
from tests.browser import grids
from tests.browser.visits import Visit

FULL = full_case()
SOME = ("options", "bundles", "ways", "calendar")
"""Sheets that go through a browser in the suite; `tests/app` takes all of them without one."""

WORDS = tuple(SHEETS) if os.environ.get("OPTIONEER_EVERY_GRID") else SOME
FAULTY, SOUND = "to mend. Nothing typed is lost", "No faults."


def opened(visit: Visit, word: str, texts: Mapping[str, str] = FULL) -> str:
    """The id of a draft with a sheet of it on the screen."""
    draft = visit.server.draft("mill-turn", dict(texts))
    visit.open("case", draft.id).says(SOUND)
    part = next(part for part, sheets in GROUPS.items() if SHEETS[word] in sheets)
    chosen(visit, "Part of the case", part)
    if len(GROUPS[part]) > 1:
        chosen(visit, "Table", SHEETS[word].title)
    expect(visit.page.get_by_role("heading", name=SHEETS[word].title, exact=True)).to_be_visible()
    visit.settled()
    return draft.id


def chosen(visit: Visit, among: str, choice: str) -> None:
    group = visit.page.get_by_role("radiogroup", name=among)
    group.get_by_role("radio", name=choice, exact=True).click(delay=80)


def put(visit: Visit, word: str, cell: Cell) -> None:
    """Type a text into a cell."""
    sheet = SHEETS[word]
    first = int(sheet.many)  # behind the boxes to tick
    column = first + heads(sheet).index(cell.column)
    grids.write(visit.page, cell.row, column, cell.text, first=first)


def kept(visit: Visit, name: str) -> dict[str, str]:
    """The files of a draft on disk."""
    draft = Store(visit.server.state / "drafts").get(name)
    assert draft is not None
    return dict(draft.texts)


@pytest.mark.parametrize("word", WORDS)
def test_from_valid_to_faulty_to_valid_every_edit_is_in_the_draft_on_disk(
    visit: Visit, word: str
) -> None:
    texts = filled(word)
    sheet, typed = SHEETS[word], typing(SHEETS[word], texts)
    name = opened(visit, word, texts)
    put(visit, word, typed.kept)
    put(visit, word, typed.slip)
    visit.says(FAULTY).settled()
    put(visit, word, typed.mended)
    visit.says(SOUND).settled()
    wanted = changed(sheet, changed(sheet, texts, typed.kept), typed.mended)
    assert rows(sheet, kept(visit, name)) == rows(sheet, wanted)
    assert {**kept(visit, name), sheet.file: ""} == {**texts, sheet.file: ""}


def test_a_row_that_is_added_cell_by_cell_is_whole_in_the_end_and_so_is_what_was_typed_before(
    visit: Visit,
) -> None:
    sheet, before = SHEETS["bundles"], rows(SHEETS["bundles"], FULL)
    name = opened(visit, "bundles")
    put(visit, "bundles", Cell(0, "discount", "950"))
    grids.add_row(visit.page, len(before))
    new = {"id": "both", "options": "parts-catcher; automatic-door", "discount": "120"}
    put(visit, "bundles", Cell(len(before), "id", new["id"]))
    place = 1 + heads(sheet).index("options")
    names = ("Parts catcher with chute", "Automatic door with safety edge")
    grids.choose(visit.settled().page, len(before), place, names, first=1)
    put(visit.settled(), "bundles", Cell(len(before), "discount", new["discount"]))
    visit.says(SOUND)
    first, *others = before
    assert list(rows(sheet, kept(visit, name))) == [{**first, "discount": "950"}, *others, new]
