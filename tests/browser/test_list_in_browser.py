"""From a dealer's list to first advice and to answers, by hand in a browser that is then killed."""

import re
from pathlib import Path

from playwright.sync_api import FilePayload, Page, Playwright

from optioneer.files.case.demos import demo_folders
from tests.browser import grids
from tests.browser.machinery import Server, killable
from tests.browser.prompt import expect
from tests.browser.test_keyboard import tabbed_to
from tests.browser.visits import Visit, visit_of

LIST = demo_folders()[0].parent / "dealer-list.csv"
SOME = (1, 2, 3, 12, 13, 18, 19, 22, 23)
"""Positions of it that bring up all that is asked of it: what a line is, what it takes off, what is
wanted and what never; then whether work comes, by a chance that an option hangs on."""

MOST_ANSWERS = 12
"""Fewer than one more for each position would be."""

FIELDS = ("stSelectbox", "stCheckbox", "stMultiSelect", "stDateInput", "stTextInput")
OTHERS = ("Name of the machine or purchase", "Path of the case folder")
"""Fields of the same page that begin otherwise."""

ADVICE = re.compile(r"Order (\d+|no) options? with the machine")
"""What the way in, which asks which options to order with the machine, does not say."""

INSIDE = (".csv", ".toml", "optioneer ", " --", "turned-milled", "robot-series")
"""What only files and the command line say."""


def some_of_the_list() -> bytes:
    """The demo's list with some of its positions, and all lines that have none."""
    lines = LIST.read_bytes().splitlines(keepends=True)
    numbers = [line.split(b";")[0] for line in lines]
    kept = {str(position).encode() for position in SOME}
    pairs = zip(numbers, lines, strict=True)
    return b"".join(line for number, line in pairs if number in kept or not number.isdigit())


def fields(page: Page) -> int:
    """What is asked about a list on the first page."""
    every = sum(page.get_by_test_id(kind).count() for kind in FIELDS)
    return every - sum(page.get_by_label(other).count() for other in OTHERS)


BASE_PRICE, MARGIN, VALUE = 2, 4, 1
"""Rows and column on the sheet of the machine."""


def test_few_answers_lead_from_a_list_to_advice_and_a_killed_browser_loses_nothing_typed(
    playwright: Playwright, server: Server, tmp_path: Path
) -> None:
    with killable(tmp_path) as first:
        visit = visit_of(playwright.chromium.connect_over_cdp(first.address()), server)
        asked = advised(visit)
        assert asked + answered_by_keyboard(visit) <= MOST_ANSWERS
        half_typed(visit)
        margin = half_written(visit)
        first.kill()
    with killable(tmp_path) as second:
        again = visit_of(playwright.chromium.connect_over_cdp(second.address()), server)
        again.open().says("has changes that were never saved.")
        again.page.get_by_role("button", name="Go on with it").first.click(delay=80)
        again.says("unsaved changes").turn_to("questions")
        again.says("Answered so far: 1")
        expect(again.page.get_by_label("How many came")).to_have_value("7")
        again.turn_to("case")
        expect(grids.cell(again.page, BASE_PRICE, VALUE)).to_have_text("83456")
        expect(grids.cell(again.page, MARGIN, VALUE)).to_have_text(margin)
        again.end()


def advised(visit: Visit) -> int:
    """Drop the list, answer what is asked, and come to advice; how many answers that takes."""
    visit.open()
    given = FilePayload(name=LIST.name, mimeType="text/csv", buffer=some_of_the_list())
    visit.page.locator("input[type=file]").first.set_input_files(given)
    visit.says("Customer request as discussed").settled()
    asked = fields(visit.page)
    visit.page.get_by_text("off the machine's price").click()
    visit.settled()
    visit.press("Make the case")
    visit.says(ADVICE)
    expect(visit.page.get_by_role("alert")).to_have_count(0)
    return asked


def answered_by_keyboard(visit: Visit) -> int:
    """Answer the first question without a pointer; how many answers that is."""
    visit.turn_to("questions").says("Do you have such work?")
    visit.page.get_by_text("What is still worth asking").click(delay=80)
    said = visit.settled().text()
    assert [word for word in INSIDE if word in said] == []
    tabbed_to(visit.page, "We have it", "radio")
    visit.page.keyboard.press("ArrowDown")
    visit.page.keyboard.press("ArrowDown")
    visit.says("Your answer: 35%")
    tabbed_to(visit.page, "Take this answer", "button")
    visit.page.keyboard.press("Enter")
    visit.says("Answered so far: 1")
    return 1


def half_typed(visit: Visit) -> None:
    """Begin an answer that is not taken when it happens."""
    visit.page.get_by_text("By our quotes").click(delay=80)
    came = visit.page.get_by_label("How many came")
    came.fill("7")
    came.press("Tab")
    visit.says("Say how many quotes there were").settled()  # the app has it, and wants the other


def half_written(visit: Visit) -> str:
    """Write a figure of the case, and begin another that stands open; what stood there."""
    visit.turn_to("case")
    grids.write(visit.page, BASE_PRICE, VALUE, "83456")
    visit.says("unsaved changes")
    before = grids.cell(visit.page, MARGIN, VALUE).inner_text()
    grids.type_into(visit.page, MARGIN, VALUE, "5")
    return before


def test_prices_typed_beside_the_parts_of_a_kind_of_machine_make_a_case(visit: Visit) -> None:
    visit.open().page.get_by_text("From a kind of machine").click(delay=80)
    visit.settled().page.get_by_role("combobox", name="What kind of machine is it?").click(delay=80)
    visit.page.get_by_role("option", name="Lathe", exact=True).click(delay=80)
    visit.says("Write the price of the machine").settled()
    for row, price in enumerate(("94800", "3900")):
        grids.write(visit.page, row, 2, price, first=1)
    currency = visit.says("1 option is on it").page.get_by_label("Currency of the prices")
    currency.fill("EUR")
    currency.press("Tab")
    visit.says("What does a working day").settled().press("Make the case")
    visit.says(ADVICE)
