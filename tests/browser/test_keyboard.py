"""The keyboard alone leads each of the four people to what they came for."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page

from optioneer.app.engine.drafts import Store
from optioneer.files.record.entries import read_record
from tests.app.visits import small_mill
from tests.browser import grids
from tests.browser.machinery import Server
from tests.browser.prompt import expect
from tests.browser.test_journeys import row_of
from tests.browser.visits import Visit, visiting

MOST_TABS = 60
"""More stops than any page has before what is looked for."""

IN_GRID = "() => document.activeElement.closest('canvas, [role=grid]') !== null"


def tabbed_to(page: Page, name: str, role: str) -> None:
    """Go on with Tab until something is reached."""
    wanted = page.get_by_role(role, name=name)  # type: ignore[arg-type] # one of its words
    expect(wanted).to_be_visible()
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if wanted.evaluate("element => element === document.activeElement"):
            return
    raise AssertionError(f"'{name}' is not reached by keyboard")


def tabbed_into_the_grid(visit: Visit) -> None:
    """Go on with Tab until a grid takes the keys."""
    visit.settled()
    for _ in range(MOST_TABS):
        visit.page.keyboard.press("Tab")
        if visit.page.evaluate(IN_GRID):
            return
    raise AssertionError("no grid is reached by keyboard")


def moved_to(visit: Visit, row: int, column: int) -> None:
    """Go with the arrows from the cell that is picked first."""
    visit.page.keyboard.press("Control+Home")
    for _ in range(row):
        visit.page.keyboard.press("ArrowDown")
    for _ in range(column):
        visit.page.keyboard.press("ArrowRight")
    expect(grids.cell(visit.page, row, column)).to_have_attribute("aria-selected", "true")


@pytest.fixture(scope="module")
def walk(context: BrowserContext, server: Server) -> Iterator[Visit]:
    """One window that goes from page to page."""
    with visiting(context, server) as window:
        yield window.open("answer", server.draft("small-mill", small_mill()).id)


def test_the_keyboard_alone_leads_to_the_answer(visit: Visit) -> None:
    visit.open()
    tabbed_to(visit.page, "Open the small mill demo", "button")
    visit.page.keyboard.press("Enter")
    visit.says("Order 3 options with the machine")


def test_the_keyboard_alone_leads_from_the_answer_to_a_verdict_that_turns(walk: Visit) -> None:
    visit = walk.turn_to("answer").says("Order 3 options with the machine")
    tabbed_to(visit.page, "For the owner", "link")
    visit.page.keyboard.press("Enter")
    visit.says("No verdict turns").settled()
    tabbed_to(visit.page, "Customers order in lots worth loading", "slider")
    visit.page.keyboard.press("End")
    visit.says("against the case")


def test_the_keyboard_alone_ticks_an_option_for_the_buyer(walk: Visit) -> None:
    visit = walk.turn_to("buyer").says("Net present cost")
    tabbed_into_the_grid(visit)
    moved_to(visit, row_of("Automatic door"), 0)
    visit.page.keyboard.press("Space")
    visit.shows("Price", "\u20ac96,400").settled()
    visit.page.keyboard.press("Escape")
    visit.page.keyboard.press("Tab")
    assert not visit.page.evaluate(IN_GRID)


def test_the_keyboard_alone_tries_another_balance_for_the_bookkeeper(walk: Visit) -> None:
    visit = walk.turn_to("bookkeeper").says("Lowest balance")
    tabbed_to(visit.page, "In the account at the order", "slider")
    visit.page.keyboard.press("End")
    visit.says("As planned: lowest balance").settled()


def test_the_keyboard_alone_changes_a_figure_of_the_case_and_records_a_decision(
    walk: Visit, tmp_path: Path
) -> None:
    visit = walk.turn_to("case").says("No faults.")
    tabbed_into_the_grid(visit)
    moved_to(visit, 2, 1)
    visit.page.keyboard.press("Enter")
    expect(visit.page.locator("#portal textarea, #portal input").first).to_be_focused()
    visit.page.keyboard.press("Control+A")
    visit.page.keyboard.type("83000", delay=20)
    visit.page.keyboard.press("Enter")
    visit.says("unsaved changes").settled()
    kept = Store(visit.server.state / "drafts").get(visit.draft())
    assert kept is not None
    assert "base_price = 83000" in kept.texts["machine.toml"]
    visit.page.evaluate("document.activeElement.blur()")
    tabbed_to(visit.page, "Decide and hand on", "link")
    visit.page.keyboard.press("Enter")
    visit.says("You decide on").settled()
    typed_into(visit, "Folder for the case and its record", str(tmp_path / "mill"))
    pressed(visit, "Save there")
    visit.says("Why, in your own words")
    typed_into(visit.settled(), "Why, in your own words", "By keyboard")
    pressed(visit, "Record the decision")
    visit.says("The last decision against what is recorded").settled()
    (sealed,) = read_record(tmp_path / "mill").decisions.values()
    assert sealed.note == "By keyboard"


def typed_into(visit: Visit, label: str, text: str) -> None:
    tabbed_to(visit.page, label, "textbox")
    visit.page.keyboard.type(text)
    visit.page.keyboard.press("Tab")


def pressed(visit: Visit, name: str) -> None:
    """Wait until a button can be pressed, go to it, and press it."""
    expect(visit.page.get_by_role("button", name=name, exact=True)).to_be_enabled()
    visit.settled()
    tabbed_to(visit.page, name, "button")
    visit.page.keyboard.press("Enter")
