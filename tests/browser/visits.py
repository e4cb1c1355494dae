"""What a person does at the app: open, look, wait until it has settled, type, press."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from urllib.parse import parse_qs, urlsplit

from playwright.sync_api import Browser, BrowserContext, Locator, Page, Request

from tests.browser.machinery import ELSEWHERE, Server
from tests.browser.prompt import expect
from tests.patience import PATIENCE

PAGES = ("answer", "questions", "case", "buyer", "owner", "bookkeeper", "first-chips", "decide")
TITLES = {
    "answer": "What to order",
    "questions": "What to find out",
    "case": "The case",
    "buyer": "For the buyer",
    "owner": "For the owner",
    "bookkeeper": "For the bookkeeper",
    "first-chips": "To first chips",
    "decide": "Decide and hand on",
}
SETTLED = """() => {
  const app = document.querySelector('[data-testid=stApp]');
  return app !== null && app.dataset.testScriptState === 'notRunning'
    && document.querySelector('[data-testid=stProgress],[data-testid=stSkeleton]') === null
    && document.querySelector('[data-stale=true]') === null;
}"""
"""Whether the script rests, and nothing is under way that would draw the page anew."""

COLOURED = """dark => {
  const ground = getComputedStyle(document.querySelector('[data-testid=stApp]')).backgroundColor;
  const light = ground.match(/[0-9]+/g).slice(0, 3).reduce((sum, each) => sum + Number(each), 0);
  return (light < 3 * 128) === dark && document.getAnimations().every(({ playState, effect }) =>
    playState !== 'running' || effect.getComputedTiming().endTime === Infinity);
}"""
"""Whether the app is of a scheme: its ground follows some drawings after it was asked to, and the
grounds of what is pressed fade over to theirs."""

HEIGHT = "() => document.querySelector('[data-testid=stMain]').scrollHeight"
TALLEST = 12_000
"""Height of the highest window [px]."""

GLANCE = 50.0
"""How often it is looked whether a page has settled [ms]; at every frame the looking is work."""


@dataclass
class Visit:
    """One browser window of its own, and everything that went wrong in it.

    Parameters
    ----------
    server
        What it looks at.
    page
        The window.
    faults
        Errors of scripts, and requests to anywhere but this machine.
    there
        Windows that were there before and stay.
    """

    server: Server
    page: Page
    faults: list[str] = field(default_factory=list)
    there: tuple[Page, ...] = ()

    def watch(self) -> None:
        self.page.context.set_default_timeout(1000 * PATIENCE)
        self.page.context.on("request", self._asked)
        self.page.on("pageerror", lambda error: self.faults.append(f"script: {error}"))
        self.page.on("websocket", lambda socket: self._told(socket.url))

    def _asked(self, request: Request) -> None:
        self._told(request.url)

    def _told(self, url: str) -> None:
        if ELSEWHERE.match(url):
            self.faults.append(f"outside: {url}")

    def open(self, word: str = "answer", draft: str | None = None) -> "Visit":
        """Open a page by its address, with a draft where one is named."""
        path = "" if word == "answer" else word
        asked = "" if draft is None else f"?draft={draft}"
        self.page.goto(f"{self.server.url}/{path}{asked}", wait_until="commit")
        return self.settled()

    def turn_to(self, word: str) -> "Visit":
        """Open another page from the navigation, as a hand does."""
        links = self.page.get_by_test_id("stTopNavLink")
        links.filter(has_text=TITLES[word]).click(delay=80)
        self.page.wait_for_url(re.compile(rf"/{'' if word == 'answer' else word}(\?|$)"))
        return self.settled()

    def settled(self) -> "Visit":
        """Wait until nothing is under way."""
        self.page.wait_for_function(SETTLED, timeout=1000 * PATIENCE, polling=GLANCE)
        return self

    def coloured(self, scheme: str) -> "Visit":
        """Have the browser ask for light or dark, and wait until the page has followed."""
        self.page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type] # one of its words
        patience, dark = 1000 * PATIENCE, scheme == "dark"
        self.page.wait_for_function(COLOURED, arg=dark, timeout=patience, polling=GLANCE)
        return self.settled()

    def sized(self, width: int, height: int) -> "Visit":
        """Make the window so wide, and as high as the whole page but no less than asked.

        What is scrolled out of sight is on no picture, and nobody judges its contrast.
        """
        self.page.set_viewport_size({"width": width, "height": height})
        self.settled()
        whole = min(max(int(self.page.evaluate(HEIGHT)), height), TALLEST)
        self.page.set_viewport_size({"width": width, "height": whole})
        return self.settled()

    def draft(self) -> str:
        """The draft that is open, as the address names it."""
        (name,) = parse_qs(urlsplit(self.page.url).query)["draft"]
        return name

    def text(self) -> str:
        return self.page.get_by_test_id("stMain").inner_text()

    def says(self, text: str | re.Pattern[str]) -> "Visit":
        """Wait until the page says something."""
        expect(self.page.get_by_test_id("stMain")).to_contain_text(text)
        return self

    def press(self, name: str) -> "Visit":
        """Press a button, as a hand does."""
        self.page.get_by_role("button", name=name, exact=True).click(delay=80)
        return self

    def metric(self, label: str) -> str:
        """The figure under a label."""
        return self._metric(label).inner_text()

    def shows(self, label: str, figure: str) -> "Visit":
        """Wait until a figure stands under a label."""
        expect(self._metric(label)).to_have_text(figure)
        return self

    def _metric(self, label: str) -> Locator:
        found = self.page.get_by_test_id("stMetric").filter(has_text=label)
        return found.get_by_test_id("stMetricValue")

    def leave(self) -> None:
        """Close what is open, and leave the browser to the next one."""
        context = self.page.context
        for page in context.pages:
            if page not in self.there:
                page.close()
        context.remove_listener("request", self._asked)
        assert not self.faults, self.faults

    def end(self) -> None:
        """Close the browser's part of it, too."""
        context = self.page.context
        self.leave()
        context.close()


@contextmanager
def visiting(context: BrowserContext, server: Server) -> Iterator[Visit]:
    """A window of somebody who was never here before, in a browser that was.

    What the server sends to everybody is read and compiled once; nothing else is left of others.
    """
    there = tuple(context.pages)
    visit = Visit(server, context.new_page(), there=there)
    visit.watch()
    kept = {"origin": server.url, "storageTypes": "cookies,local_storage,indexeddb"}
    context.new_cdp_session(visit.page).send("Storage.clearDataForOrigin", kept)
    yield visit
    visit.leave()


def context_of(browser: Browser) -> BrowserContext:
    """What windows of one person share."""
    return browser.new_context(viewport={"width": 1440, "height": 900}, locale="en-US")


def visit_of(browser: Browser, server: Server) -> Visit:
    """A window of somebody who was never here before, in a browser that was not either."""
    context = context_of(browser)
    visit = Visit(server, context.new_page())
    visit.watch()
    return visit
