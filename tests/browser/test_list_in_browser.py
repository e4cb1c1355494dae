"""From a dealer's list to first advice in a browser: dropped, few answers, no text file opened."""

from playwright.sync_api import FilePayload, expect

from optioneer.files.case.demos import demo_folders
from tests.browser.visits import Visit

LIST = demo_folders()[0].parent / "dealer-list.csv"
MOST_ANSWERS = 25


def test_a_dropped_list_becomes_a_case_with_advice(visit: Visit) -> None:
    visit.open()
    given = FilePayload(name=LIST.name, mimeType="text/csv", buffer=LIST.read_bytes())
    visit.page.locator("input[type=file]").first.set_input_files(given)
    visit.says("Customer request as discussed").settled()
    asked = visit.page.get_by_test_id("stSelectbox").count()
    asked += visit.page.get_by_test_id("stCheckbox").count()
    asked += visit.page.get_by_test_id("stMultiSelect").count()
    assert asked <= MOST_ANSWERS
    visit.page.get_by_text("off the machine's price").click()
    visit.settled()
    visit.press("Make the case")
    visit.says("with the machine")
    expect(visit.page.get_by_role("alert")).to_have_count(0)
    visit.settled()
