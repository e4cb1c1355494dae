"""A grid of cells as a hand works it: pick a cell, Enter, type, Enter."""

import time
from collections.abc import Sequence
from contextlib import suppress

from playwright.sync_api import Locator, Page

from tests.browser.prompt import expect
from tests.patience import PATIENCE

HEAD, ROW = 35, 35
"""Height of the heading and of a row [px]."""

AGAIN = 5000
"""After so long a text that is not there is written again [ms]."""


def cell(page: Page, row: int, column: int) -> Locator:
    """A cell of the table that stands behind the drawing, for those who cannot see it."""
    return page.locator(f"#glide-cell-{column}-{row}")


def pick(page: Page, row: int, column: int, *, first: int = 0) -> None:
    """Click into the first column of a row, and go to another with the arrow keys.

    Boxes to tick rows with stand before the first column of a list, which then is column 1. What
    stands above may still move the grid under the hand, or draw it anew: then it is done again.
    """
    end, again = time.monotonic() + PATIENCE, False
    while time.monotonic() < end:
        expect(cell(page, row, first)).to_be_attached()
        if not again or cell(page, row, first).get_attribute("aria-selected") != "true":
            _click_into(page, row)  # on the cell that is picked it would open it
        for _ in range(column - first):
            page.keyboard.press("ArrowRight")
        with suppress(AssertionError):
            picked = cell(page, row, column)
            expect(picked).to_have_attribute("aria-selected", "true", timeout=AGAIN)
            return
        page.keyboard.press("Escape")
        again = True
    raise AssertionError(f"row {row}, column {column} is not picked")


def _click_into(page: Page, row: int) -> None:
    drawn = page.get_by_test_id("stDataFrame").first
    drawn.scroll_into_view_if_needed()
    place = drawn.bounding_box()
    assert place is not None
    page.mouse.click(place["x"] + 60, place["y"] + HEAD + ROW * row + ROW / 2, delay=80)


def type_into(page: Page, row: int, column: int, text: str, *, first: int = 0) -> None:
    """Open a cell and type over what it holds."""
    pick(page, row, column, first=first)
    page.keyboard.press("Enter")
    expect(page.locator("#portal textarea, #portal input").first).to_be_focused()
    page.keyboard.press("Control+A")
    page.keyboard.type(text, delay=20)


def write(page: Page, row: int, column: int, text: str, *, first: int = 0) -> None:
    """Put a text into a cell; again where the grid was drawn anew under the hand."""
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        type_into(page, row, column, text, first=first)
        page.keyboard.press("Enter")
        with suppress(AssertionError):
            expect(cell(page, row, column)).to_have_text(text, timeout=AGAIN)
            return
    raise AssertionError(f"'{text}' is not taken by the cell")


def choose(page: Page, row: int, column: int, names: Sequence[str], *, first: int = 0) -> None:
    """Choose rows of another table by their names, by keyboard once a cell is picked.

    Again where the grid was drawn anew under the hand, which takes the list of names away.
    """
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        pick(page, row, column, first=first)
        page.keyboard.press("Enter")
        with suppress(AssertionError):
            for name in names:
                page.keyboard.type(name, delay=20)
                offered = page.get_by_role("option", name=name, exact=True)
                expect(offered).to_be_visible(timeout=AGAIN)
                page.keyboard.press("Enter")
            page.keyboard.press("Tab")
            return
        page.keyboard.press("Escape")
    raise AssertionError(f"{names} are not offered")


def add_row(page: Page, there: int) -> None:
    """Press the '+' below the rows that are there."""
    expect(cell(page, there, 1)).to_have_count(0)
    drawn = page.get_by_test_id("stDataFrame").first
    place = drawn.bounding_box()
    assert place is not None
    page.mouse.click(place["x"] + 60, place["y"] + HEAD + ROW * there + ROW / 2, delay=80)
    expect(cell(page, there, 1)).to_be_attached()
    pick(page, 0, 1, first=1)  # a click on the cell that is picked already would open it


def tick(page: Page, row: int, column: int, *, width: int = 75) -> None:
    """Click a box to tick in the first column."""
    expect(cell(page, row, column)).to_be_attached()
    drawn = page.get_by_test_id("stDataFrame").first
    drawn.scroll_into_view_if_needed()
    place = drawn.bounding_box()
    assert place is not None
    page.mouse.click(place["x"] + width / 2, place["y"] + HEAD + ROW * row + ROW / 2, delay=80)
