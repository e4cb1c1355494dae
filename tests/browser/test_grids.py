"""What is typed into a grid is on disk, whatever else is wrong with the case meanwhile."""

import os
import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import BrowserContext

from optioneer.app.engine.drafts import Store
from optioneer.files.grid.sheet_list import GROUPS, SHEETS
from optioneer.files.grid.sheets import rows
from tests.app.cells import Cell, changed, filled, full_case, heads, typing
from tests.browser import grids
from tests.browser.machinery import Server
from tests.browser.prompt import expect
from tests.browser.visits import Visit, visiting

FULL = full_case()
SOME = ("options", "bundles", "ways", "calendar")
"""Sheets that go through a browser in the suite; `tests/app` takes all of them without one."""

WORDS = tuple(SHEETS) if os.environ.get("OPTIONEER_EVERY_GRID") else SOME
FAULTY, SOUND = "to mend. Nothing typed is lost", "No faults."


@pytest.fixture(scope="module")
def desk(context: BrowserContext, server: Server) -> Iterator[Visit]:
    """One window on the page of the case, that goes from sheet to sheet."""
    with visiting(context, server) as window:
        yield window.open("case", server.draft("mill-turn", FULL).id)


def turned(desk: Visit, word: str) -> dict[str, str]:
    """Put a sheet on the screen, of another draft where it is empty in the full case.

    The files as they are then.
    """
    if filled(word) != FULL:
        desk.open("case", desk.server.draft("mill-turn", filled(word)).id)
    desk.says(SOUND)
    part = next(part for part, sheets in GROUPS.items() if SHEETS[word] in sheets)
    chosen(desk, "Part of the case", part)
    if len(GROUPS[part]) > 1:
        chosen(desk, "Table", SHEETS[word].title)
    expect(desk.page.get_by_role("heading", name=SHEETS[word].title, exact=True)).to_be_visible()
    return kept(desk.settled())


def chosen(visit: Visit, among: str, choice: str) -> None:
    """Choose a part or a table; a star marks a part with unsaved changes."""
    group = visit.page.get_by_role("radiogroup", name=among)
    named = re.compile(rf"^{re.escape(choice)}( \*)?$")
    group.get_by_role("radio", name=named).click(delay=80)


def put(visit: Visit, word: str, cell: Cell) -> None:
    """Type a text into a cell."""
    sheet = SHEETS[word]
    first = int(sheet.many)  # behind the boxes to tick
    column = first + heads(sheet).index(cell.column)
    grids.write(visit.page, cell.row, column, cell.text, first=first)


def kept(visit: Visit) -> dict[str, str]:
    """The files of the draft on disk."""
    draft = Store(visit.server.state / "drafts").get(visit.draft())
    assert draft is not None
    return dict(draft.texts)


@pytest.mark.parametrize("word", WORDS)
def test_from_valid_to_faulty_to_valid_every_edit_is_in_the_draft_on_disk(
    desk: Visit, word: str
) -> None:
    texts = turned(desk, word)
    sheet, typed = SHEETS[word], typing(SHEETS[word], texts)
    put(desk, word, typed.kept)
    put(desk, word, typed.slip)
    desk.says(FAULTY).settled()
    put(desk, word, typed.mended)
    desk.says(SOUND).settled()
    wanted = changed(sheet, changed(sheet, texts, typed.kept), typed.mended)
    assert rows(sheet, kept(desk)) == rows(sheet, wanted)
    assert {**kept(desk), sheet.file: ""} == {**texts, sheet.file: ""}


def test_a_row_that_is_added_cell_by_cell_is_whole_in_the_end_and_so_is_what_was_typed_before(
    desk: Visit,
) -> None:
    sheet, before = SHEETS["bundles"], rows(SHEETS["bundles"], FULL)
    desk.open("case", desk.server.draft("mill-turn", FULL).id)
    turned(desk, "bundles")
    put(desk, "bundles", Cell(0, "discount", "950"))
    grids.add_row(desk.page, len(before))
    new = {"id": "both", "options": "parts-catcher; automatic-door", "discount": "120"}
    put(desk, "bundles", Cell(len(before), "id", new["id"]))
    place = 1 + heads(sheet).index("options")
    names = ("Parts catcher with chute", "Automatic door with safety edge")
    grids.choose(desk.settled().page, len(before), place, names, first=1)
    put(desk.settled(), "bundles", Cell(len(before), "discount", new["discount"]))
    desk.says(SOUND)
    first, *others = before
    assert list(rows(sheet, kept(desk))) == [{**first, "discount": "950"}, *others, new]
