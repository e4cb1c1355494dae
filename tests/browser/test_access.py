"""Everybody can use every page: by screen reader, in low sight, by keyboard alone."""

import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any, TypeVar

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import BrowserContext, Page

from optioneer.app.engine.drafts import Draft
from tests.app.visits import small_mill
from tests.browser import grids
from tests.browser.contrast import faint
from tests.browser.machinery import Server
from tests.browser.prompt import expect
from tests.browser.test_journeys import row_of
from tests.browser.visits import PAGES, Visit, visiting
from tests.cases_as_texts import few

T = TypeVar("T")

FEW = few(small_mill(), "pallet-loader")
"""All that pages show of an option or a kind of work, a few times instead of many."""

WIDE, NARROW = (1440, 900), (390, 844)
SEEN = ((WIDE, "light"), (WIDE, "dark"), (NARROW, "dark"), (NARROW, "light"))
"""How a page is looked at: another size draws it anew, and so do other colours."""

TWICE = {"width": 720, "height": 450}
"""What is left of a window of 1440 x 900 when everything is twice as large."""

GRAVE = ("serious", "critical")
AFTER_A_CHANGE = 2000.0
"""How long a page that seems at fault is given to end a change of its colours or width [ms]."""

AGAIN = 100.0
"""How often it is looked at meanwhile [ms]."""

BEYOND = "main => main.scrollWidth - main.clientWidth"
"""How much of a page lies beyond its right edge [px]."""

FAULTS_ONLY = {
    "resultTypes": ["violations"],
    "rules": {"region": {"enabled": False}, "color-contrast": {"enabled": False}},
}
"""Of what is in order no list is made: it takes longer than to find what is not.

The rule of regions is of moderate impact, which is not asked for, and the second slowest; the
slowest is that of contrast, see `faint`.
"""

JUDGED = "options => axe.run(options).then(told => told.violations)"
"""What axe-core finds, once it is in the page."""


def grave(page: Page) -> list[str]:
    """What axe-core finds on a page that keeps somebody from using it."""
    return [*_grave_but_contrast(page), *faint(page)]


def _grave_but_contrast(page: Page) -> list[str]:
    if not page.evaluate("'axe' in window"):  # compiled anew, it takes twice as long
        page.evaluate(Axe().axe_script)
    found: Sequence[dict[str, Any]] = page.evaluate(JUDGED, FAULTS_ONLY)
    return [
        f"{each['id']}: {node['html'][:300]} {node['failureSummary'][:300]}"
        for each in found
        if each["impact"] in GRAVE
        for node in each["nodes"]
    ]


def looked_at(visit: Visit) -> list[str]:
    """The page in both sizes, light and dark.

    In the dark the same elements stand in the same places, with other colours.
    """
    found: list[str] = []
    before = None
    for size, scheme in SEEN:
        visit.coloured(scheme)
        if size != before:
            visit.sized(*size)
        before = size
        look = partial(grave if scheme == "light" else faint, visit.page)
        # while a page changes its colours, ink may be of one scheme, ground of another
        told = after_a_change(visit.page, look)
        found += [f"{scheme}, {size[0]}: {each}" for each in told]
    return found


def after_a_change(page: Page, faults: Callable[[], T]) -> T:
    """What is still at fault once the page has ended a change, if it is in one."""
    end = time.monotonic() + AFTER_A_CHANGE / 1000
    while True:
        last = time.monotonic() >= end
        found = faults()
        if last or not found:
            return found
        page.wait_for_timeout(AGAIN)


@pytest.fixture(scope="module")
def walk(context: BrowserContext, server: Server) -> Iterator[Visit]:
    """One window that goes from page to page."""
    with visiting(context, server) as window:
        yield window.open("answer", server.draft("small-mill", FEW).id)


@pytest.mark.parametrize("word", PAGES)
def test_no_page_has_a_grave_fault_of_access(walk: Visit, word: str) -> None:
    walk.page.set_viewport_size({"width": 1440, "height": 900})  # narrow, links fold into a menu
    visit = walk.turn_to(word)
    visit.page.locator("details summary").evaluate_all("each => each.forEach(one => one.click())")
    visit.settled()
    assert looked_at(visit) == []
    assert not_in_sight(visit) == 0
    if word == "buyer":
        walk.page.set_viewport_size({"width": 1440, "height": 900})
        grids.tick(visit.page, row_of("Small loader with ten pallets", FEW), 0)
        visit.says("needs Automatic door and Loader interface").settled()
        assert grave(visit.page) == []


def not_in_sight(visit: Visit) -> int:
    """How much lies beyond the right edge at twice the size [px]."""
    visit.page.set_viewport_size(TWICE)  # type: ignore[arg-type] # width and height
    main = visit.settled().page.get_by_test_id("stMain")
    # while a page follows its width, some of it has the one before
    return after_a_change(visit.page, lambda: int(main.evaluate(BEYOND)))


def test_the_way_in_and_the_page_of_a_list_have_no_grave_fault_of_access(visit: Visit) -> None:
    assert looked_at(visit.open()) == []
    expect(visit.page.get_by_test_id("stTopNavLink")).to_have_count(0)  # nowhere to turn to yet
    visit.page.get_by_text("Type names and prices").click(delay=80)
    lines = visit.page.get_by_label("The machine first, then an option a line")
    lines.fill("CNC lathe, 52 mm bar; 94800 EUR\nSub-spindle; 14500\nSomething else; 900")
    lines.press("Control+Enter")
    visit.says("what is it?").settled()
    assert looked_at(visit) == []
    assert not_in_sight(visit) == 0


def test_paper_shows_what_is_ticked_on_a_white_ground_without_what_is_pressed(walk: Visit) -> None:
    walk.page.set_viewport_size({"width": 1440, "height": 900})
    page = walk.turn_to("buyer").page
    page.emulate_media(media="print", color_scheme="dark")
    matrix = page.locator(".paper tr", has_text="Fourth axis, drive and cable prepared")
    expect(matrix).to_be_visible()
    expect(matrix.locator("td").first).to_have_text("\u25cf")
    expect(page.locator(".paper tr", has_text="Automatic door").first).to_contain_text("5,900")
    for pressed in (page.locator("header"), page.get_by_test_id("stButton")):
        expect(pressed.first).not_to_be_visible()
    grounds = "() => ['html', 'body', '.stApp'].map(one => getComputedStyle("
    grounds += "document.querySelector(one)).backgroundColor)"
    assert page.evaluate(grounds) == ["rgb(255, 255, 255)"] * 3
    page.emulate_media(media="screen", color_scheme="light")
    expect(matrix).not_to_be_visible()


def test_the_page_of_faults_has_no_grave_fault_of_access(visit: Visit, draft: Draft) -> None:
    texts = dict(draft.texts) | {"machine.toml": draft.texts["machine.toml"] + "\nmistyped = 1\n"}
    broken = visit.server.draft("broken", texts)
    visit.open("case", broken.id).says("1 fault to mend")
    assert looked_at(visit) == []


ADDED = """html => document.querySelector('[data-testid=stMainBlockContainer]')
  .insertAdjacentHTML('beforeend', html)"""

FAINT = {
    "by its own ground": '<p style="color:#757575;background:#888">{}</p>',
    "by a ground around it": '<div style="background:#888"><p style="color:#757575">{}</p></div>',
    "by what lies below it": (
        '<div style="display:grid"><div style="grid-area:1/1;background:#888;pointer-events:none">'
        '</div><p style="grid-area:1/1;margin:9px;color:#757575">{}</p></div>'
    ),
    "by being shone through": '<div style="opacity:0.4"><p style="color:#757575">{}</p></div>',
    "by being small": '<p style="color:#888;font-size:14px">{}</p>',
}
"""Ways in which a text is hard to read."""

BESIDE = '<p style="color:#757575">{0}</p><p style="color:#888;font-size:32px">{0}</p>'
"""Texts that are not, with the same inks."""

ONE_BY_ONE = """() => axe.run({ runOnly: ['color-contrast'] })
  .then(told => told.violations.flatMap(each => each.nodes).length)"""


def test_what_looks_for_faults_of_access_finds_them(visit: Visit) -> None:
    visit.open().page.evaluate(ADDED, '<div style="height:3000px"></div><button></button>')
    visit.page.evaluate(ADDED, BESIDE.format("to be read"))
    visit.sized(1440, 900)
    assert [each.split(":")[0] for each in grave(visit.page)] == ["button-name"]
    visit.page.evaluate(ADDED, "".join(each.format(way) for way, each in FAINT.items()))
    visit.sized(1440, 900)
    for _ in range(2):  # what is not fine stays so
        found = faint(visit.page)
        assert len(found) == visit.page.evaluate(ONE_BY_ONE) == len(FAINT)
        for way, told in zip(FAINT, found, strict=True):
            assert way in told


def test_of_texts_that_look_alike_all_are_judged_while_the_longest_tells_nothing(
    context: BrowserContext,
) -> None:
    """No ratio is measured of one that is all drawings."""
    alike = '<p style="color:#777;background:#888">{}</p>'
    page = context.new_page()
    page.set_content(alike.format(20 * "\U0001f7e6") + 2 * alike.format("short"))
    assert [each.split(":")[0] for each in grave(page)].count("color-contrast") == 2
    page.close()
