"""What somebody is told whose server is gone."""

from pathlib import Path

from playwright.sync_api import Browser, expect

from tests.app.visits import small_mill
from tests.browser.machinery import serving
from tests.browser.visits import visit_of


def test_a_lost_server_is_told_in_words_of_our_own(chromium: Browser, tmp_path: Path) -> None:
    with serving(tmp_path) as server:
        visit = visit_of(chromium, server)
        visit.open("case", server.draft("small-mill", small_mill(64)).id)
        told = visit.page.locator(".lost")
        expect(told).to_be_hidden()
        server.process.terminate()
        expect(told).to_be_visible()
        expect(told).to_contain_text("What you typed so far is kept there")
        expect(visit.page.get_by_role("dialog")).to_be_hidden()
        visit.end()
