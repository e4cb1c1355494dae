"""What one person waits for at the app: the large demo, a real browser, figures beside their aims.

The aims hold on a quiet machine with two cores. Elsewhere the processor time of the server, which
is told beside, says more.
"""

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

import pytest
from playwright.sync_api import Browser, Locator, Page, expect, sync_playwright

from tests.bench.test_app_load import processor
from tests.browser.machinery import QUIET, ROOT, Server, serving
from tests.browser.visits import TITLES, Visit, visit_of
from tests.patience import PATIENCE
from tests.programs import needed

DEMO = ROOT / "catalogs_demo" / "mill-turn"
SAYS = "options with the machine"
"""Part of the sentence that the advice begins with."""

ROUNDS = int(os.environ.get("OPTIONEER_ROUNDS", "3"))
"""How often each is measured."""

AIMS = {
    "cold start to the advice": 4.0,
    "cold start to the full answer": 6.0,
    "warm server: page opened to the advice": 1.5,
    "slider to new verdicts": 1.0,
    "control of the bookkeeper to a new curve": 0.5,
    "page to page": 1.0,
}
"""Most that each may take [s]."""

TURNED = {
    "bookkeeper": "the money",
    "owner": "Net present cost",
    "buyer": "packages and quotes",
    "first-chips": "the road to first chips",
    "answer": SAYS,
}
"""Pages in the order in which they are looked at, and what each says when it is there."""

DRAWN = """() => {
  const app = document.querySelector('[data-testid=stApp]');
  return app !== null && app.dataset.testScriptState === 'notRunning'
    && document.querySelector('[data-stale=true]') === null;
}"""


@dataclass
class Waits:
    """How long somebody waited for what, and what it took of the processor.

    Parameters
    ----------
    seconds, processor
        By what was waited for [s].
    """

    seconds: dict[str, list[float]] = field(default_factory=dict)
    processor: dict[str, list[float]] = field(default_factory=dict)

    @contextmanager
    def timed(self, what: str, server: Server) -> Iterator[None]:
        begun, taken = time.perf_counter(), processor(server)
        yield
        self.note(what, time.perf_counter() - begun, processor(server) - taken)

    def note(self, what: str, seconds: float, taken: float) -> None:
        print(f"{what:42} {seconds:6.2f} s, processor {taken:5.2f} s", flush=True)  # noqa: T201 - as it comes
        self.seconds.setdefault(what, []).append(seconds)
        self.processor.setdefault(what, []).append(taken)

    def told(self) -> str:
        lines = []
        for what, aim in AIMS.items():
            took, taken = sorted(self.seconds[what]), self.processor[what]
            lines.append(
                f"{what:42} least {took[0]:5.2f}  median {median(took):5.2f}  most {took[-1]:5.2f}"
                f"  aim {aim:4.1f} s; processor, median {median(taken):5.2f} s"
            )
        return "\n".join(lines)


def main_of(page: Page) -> Locator:
    return page.get_by_test_id("stMain")


def begun_cold(browser: Browser, folder: Path, waits: Waits) -> None:
    """From the command to the advice, and to the answer on all futures."""
    begun = time.perf_counter()
    with serving(folder, str(DEMO)) as server:
        visit = visit_of(browser, server)
        visit.page.goto(server.url, wait_until="commit")
        for what, said in (
            ("the advice", SAYS),
            ("the full answer", "Weighed on 4,096 possible futures"),
        ):
            expect(main_of(visit.page)).to_contain_text(said)
            took = time.perf_counter() - begun
            waits.note(f"cold start to {what}", took, processor(server))
        visit.end()


def opened_warm(browser: Browser, server: Server, waits: Waits) -> None:
    """From the address to the advice in a browser that was never there."""
    with waits.timed("warm server: page opened to the advice", server):
        visit = visit_of(browser, server)
        visit.page.goto(server.url, wait_until="commit")
        expect(main_of(visit.page)).to_contain_text(SAYS)
    visit.settled()
    visit.end()


def turned(visit: Visit, waits: Waits) -> None:
    """From page to page, once every answer is there."""
    for word, said in TURNED.items():
        link = visit.page.get_by_test_id("stTopNavLink").filter(has_text=TITLES[word])
        with waits.timed("page to page", visit.server):
            link.click()
            expect(main_of(visit.page)).to_contain_text(said)
            visit.page.wait_for_function(DRAWN)
        visit.settled()


def moved(visit: Visit, what: str, figure: str, keys: list[str], waits: Waits) -> None:
    """From a key on the first slider of the page to another figure under a label."""
    label = visit.page.get_by_test_id("stMetric").filter(has_text=figure)
    shown = label.get_by_test_id("stMetricValue")
    for key in keys:
        before = shown.inner_text()
        with waits.timed(what, visit.server):
            visit.page.get_by_role("slider").first.press(key)
            expect(shown).not_to_have_text(before)


@pytest.mark.timeout(900)
def test_what_one_person_waits_for(tmp_path: Path) -> None:
    program, waits = needed("chromium"), Waits()
    expect.set_options(timeout=1000 * PATIENCE)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=list(QUIET))
        for number in range(ROUNDS):
            begun_cold(browser, tmp_path / f"cold-{number}", waits)
        with serving(tmp_path / "warm", str(DEMO)) as server:
            visit = visit_of(browser, server).open().settled()
            for _ in range(ROUNDS):
                opened_warm(browser, server, waits)
            for _ in range(ROUNDS):
                turned(visit, waits)
            visit.turn_to("bookkeeper")
            keys = ["ArrowRight", "ArrowRight", "ArrowLeft"] * ROUNDS
            control = "control of the bookkeeper to a new curve"
            moved(visit, control, "Lowest balance", keys, waits)
            visit.turn_to("owner")
            moved(visit, "slider to new verdicts", "Net present cost", keys, waits)
            visit.end()
        browser.close()
    print(f"\n{waits.told()}")  # noqa: T201 - figures for who runs it
