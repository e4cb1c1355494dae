"""One server and one browser for all of these tests; a fresh window for each."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Playwright, sync_playwright

from optioneer.app.engine.drafts import Draft
from tests.app.visits import small_mill
from tests.browser.machinery import QUIET, Server, serving
from tests.browser.visits import Visit, context_of, visiting
from tests.programs import needed

ONE_PROCESS = "--renderer-process-limit=1"
"""Windows of one person share a process, as those of one site may anywhere."""


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    needed("chromium")
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def chromium(playwright: Playwright) -> Iterator[Browser]:
    program = needed("chromium")
    browser = playwright.chromium.launch(executable_path=program, args=[*QUIET, ONE_PROCESS])
    yield browser
    browser.close()


@pytest.fixture(scope="session")
def server(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    assert chromium.is_connected()  # no server without a browser to look at it
    with serving(tmp_path_factory.mktemp("state")) as served:
        yield served


@pytest.fixture(scope="session")
def context(chromium: Browser) -> Iterator[BrowserContext]:
    opened = context_of(chromium)
    opened.new_page()  # stays empty, and its process with all that the pages of others compiled
    yield opened
    opened.close()


@pytest.fixture
def visit(context: BrowserContext, server: Server) -> Iterator[Visit]:
    """A window of somebody who was never here before; nothing may go wrong in it."""
    with visiting(context, server) as window:
        yield window


@pytest.fixture
def draft(server: Server) -> Draft:
    """The small mill on few futures, opened and unchanged."""
    return server.draft("small-mill", small_mill())
