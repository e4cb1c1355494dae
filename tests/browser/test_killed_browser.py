"""A browser that is killed in the middle of an edit, and what is there afterwards."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect

from tests.app.visits import small_mill
from tests.browser import grids
from tests.browser.machinery import Server, killable, serving
from tests.browser.visits import visit_of
from tests.cases_as_texts import few

BASE_PRICE, MARGIN, VALUE = 2, 4, 1
"""Rows and column on the sheet of the machine."""


@pytest.fixture
def own_server(tmp_path: Path) -> Iterator[Server]:
    """A server that has no drafts of other tests to offer."""
    state = tmp_path / "state"
    state.mkdir()
    with serving(state) as served:
        yield served


def test_what_was_typed_before_a_browser_is_killed_is_offered_to_who_comes_back(
    playwright: Playwright, own_server: Server, tmp_path: Path
) -> None:
    server, profile = own_server, tmp_path / "profile"
    profile.mkdir()
    draft = server.draft("small-mill", few(small_mill()))
    with killable(profile) as first:
        visit = visit_of(playwright.chromium.connect_over_cdp(first.address()), server)
        visit.open("case", draft.id)
        grids.write(visit.page, BASE_PRICE, VALUE, "83456")
        visit.says("unsaved changes")
        grids.type_into(visit.page, MARGIN, VALUE, "5")  # still open when it happens
        first.kill()
    with killable(profile) as second:
        again = visit_of(playwright.chromium.connect_over_cdp(second.address()), server)
        again.open()
        again.says("small-mill has changes that were never saved.")
        again.press("Go on with it")
        again.says("unsaved changes").settled().turn_to("case")
        expect(grids.cell(again.page, BASE_PRICE, VALUE)).to_have_text("83456")
        expect(grids.cell(again.page, MARGIN, VALUE)).to_have_text("480")
        again.end()
