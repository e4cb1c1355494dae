"""Everybody can use every page: by screen reader, in low sight, by keyboard alone."""

from collections.abc import Iterator, Sequence
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import BrowserContext, Page, expect

from optioneer.app.engine.drafts import Draft
from tests.app.visits import small_mill
from tests.browser.machinery import Server
from tests.browser.visits import PAGES, Visit, visiting

SIZES = ((1440, 900), (820, 1180))
GRAVE = ("serious", "critical")
FAULTS_ONLY = {"resultTypes": ["violations"]}
"""Of what is in order no list is made: it takes longer than to find what is not."""

MOST_TABS = 60
"""More stops than any page has before what is looked for."""


def grave(page: Page) -> list[str]:
    """What axe-core finds on a page that keeps somebody from using it."""
    found: Sequence[dict[str, Any]] = Axe().run(page, options=FAULTS_ONLY).response["violations"]
    return [
        f"{each['id']}: {node['html'][:300]} {node['failureSummary'][:300]}"
        for each in found
        if each["impact"] in GRAVE
        for node in each["nodes"]
    ]


def looked_at(visit: Visit) -> list[str]:
    """The page in both sizes, light and dark."""
    found: list[str] = []
    for scheme in ("light", "dark"):
        visit.page.emulate_media(color_scheme=scheme)
        for width, height in SIZES:
            visit.sized(width, height)
            found += [f"{scheme}, {width}: {each}" for each in grave(visit.page)]
    return found


@pytest.fixture(scope="module")
def walk(context: BrowserContext, server: Server) -> Iterator[Visit]:
    """One window that goes from page to page."""
    with visiting(context, server) as window:
        yield window.open("answer", server.draft("small-mill", small_mill()).id)


@pytest.mark.parametrize("word", PAGES)
def test_no_page_has_a_grave_fault_of_access(walk: Visit, word: str) -> None:
    walk.page.set_viewport_size({"width": 1440, "height": 900})  # narrow, links fold into a menu
    visit = walk.turn_to(word)
    visit.page.locator("details summary").evaluate_all("each => each.forEach(one => one.click())")
    visit.settled()
    assert looked_at(visit) == []


def test_the_way_in_has_no_grave_fault_of_access(visit: Visit) -> None:
    assert looked_at(visit.open()) == []


def test_the_page_of_faults_has_no_grave_fault_of_access(visit: Visit, draft: Draft) -> None:
    texts = dict(draft.texts) | {"machine.toml": draft.texts["machine.toml"] + "\nmistyped = 1\n"}
    broken = visit.server.draft("broken", texts)
    visit.open("case", broken.id).says("1 fault to mend")
    assert looked_at(visit) == []


def test_what_looks_for_faults_of_access_finds_them(visit: Visit) -> None:
    visit.open().page.evaluate(
        "document.querySelector('[data-testid=stMainBlockContainer]').insertAdjacentHTML("
        "'beforeend', '<div style=\"height:3000px\"></div><button></button>"
        '<p style="color:#777;background:#888">faint and far below</p>\')'
    )
    visit.sized(1440, 900)
    assert {each.split(":")[0] for each in grave(visit.page)} == {"button-name", "color-contrast"}


def tabbed_to(page: Page, name: str, role: str) -> None:
    """Go on with Tab until something is reached."""
    wanted = page.get_by_role(role, name=name)  # type: ignore[arg-type] # one of its words
    expect(wanted).to_be_visible()
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if wanted.evaluate("element => element === document.activeElement"):
            return
    raise AssertionError(f"'{name}' is not reached by keyboard")


def test_the_keyboard_alone_leads_to_the_answer(visit: Visit) -> None:
    visit.open()
    tabbed_to(visit.page, "Open the small mill demo", "button")
    visit.page.keyboard.press("Enter")
    visit.says("Order 3 options with the machine").settled()


def test_the_keyboard_alone_leads_from_the_answer_to_a_verdict_that_turns(
    visit: Visit, draft: Draft
) -> None:
    visit.open("answer", draft.id).says("Order 3 options with the machine")
    tabbed_to(visit.page, "For the owner", "link")
    visit.page.keyboard.press("Enter")
    visit.says("No verdict turns").settled()
    tabbed_to(visit.page, "Customers order in lots worth loading", "slider")
    visit.page.keyboard.press("End")
    visit.says("against the case").settled()
