"""A slider that is dragged over a slow engine, and a server that is lost."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from tests.app.visits import small_mill
from tests.browser.machinery import free_port, running
from tests.browser.prompt import expect
from tests.browser.visits import Visit, visit_of
from tests.cases_as_texts import changed, few, read

YEARS = "Years looked ahead"
STEPS = 10
BETWEEN = 200
"""Time from one step to the next: ten in two seconds [ms]."""


def most_alive(log: Path) -> tuple[int, int]:
    """How many computations of one visitor were alive at once at most, and how many began."""
    alive: dict[str, int] = {}
    most = begun = 0
    for line in log.read_text(encoding="utf-8").splitlines():
        sign, whose = line.split()
        begun += sign == "+"
        alive[whose] = alive.get(whose, 0) + (1 if sign == "+" else -1)
        most = max(most, *alive.values())
    assert not any(alive.values())
    return most, begun


TEXTS = few(small_mill())


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What the slow engine says of its computations."""
    return tmp_path_factory.mktemp("slow") / "log"


@pytest.fixture(scope="module")
def slow(chromium: Browser, log: Path) -> Iterator[Visit]:
    """A window on the page of the owner, of an app whose engine is slow."""
    port = free_port()
    command = ["-m", "tests.browser.counted_app", str(log), str(port)]
    with running(command, port=port, state=log.parent) as server:
        visit = visit_of(chromium, server)
        yield visit.open("owner", server.draft("small-mill", TEXTS).id)
        visit.end()


def test_ten_steps_in_two_seconds_leave_one_computation_alive_and_the_last_value_wins(
    slow: Visit, log: Path
) -> None:
    longer = changed(TEXTS, "growth.toml", "horizon_years = 8.0", "horizon_years = 18.0")
    wanted = f"\u20ac{advice(AdviceRequest(read(longer).case)).advised.npc:,.0f}"
    assert slow.metric("Net present cost") != wanted
    _, of_a_position = most_alive(log)
    log.unlink()
    slider = slow.page.get_by_role("slider", name=YEARS)
    slider.focus()
    for _ in range(STEPS):
        slow.page.keyboard.press("ArrowRight")
        slow.page.wait_for_timeout(BETWEEN)  # a hand that drags, not a wait for anything
    expect(slider).to_have_value("18")
    slow.shows("Net present cost", wanted).settled()
    most, begun = most_alive(log)
    assert most == 1
    # one a step, and for the last position all that the page asks for
    assert begun <= STEPS - 1 + of_a_position


def test_a_lost_server_is_told_in_words_of_our_own(slow: Visit) -> None:
    """Last, as the server is gone then."""
    told = slow.page.locator(".lost")
    expect(told).to_be_hidden()
    slow.server.process.terminate()
    expect(told).to_be_visible()
    expect(told).to_contain_text("What you typed so far is kept there")
    expect(slow.page.get_by_role("dialog")).to_be_hidden()
