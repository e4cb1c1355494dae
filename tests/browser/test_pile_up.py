"""A slider that is dragged over a slow engine."""

from pathlib import Path

from playwright.sync_api import Browser, expect

from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from tests.app.visits import small_mill
from tests.browser.machinery import free_port, running
from tests.browser.visits import visit_of
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


def test_ten_steps_in_two_seconds_leave_one_computation_alive_and_the_last_value_wins(
    chromium: Browser, tmp_path: Path
) -> None:
    log, port = tmp_path / "log", free_port()
    command = ["-m", "tests.browser.counted_app", str(log), str(port)]
    with running(command, port=port, state=tmp_path) as server:
        texts = few(small_mill())
        longer = changed(texts, "growth.toml", "horizon_years = 8.0", "horizon_years = 18.0")
        wanted = f"€{advice(AdviceRequest(read(longer).case)).advised.npc:,.0f}"
        visit = visit_of(chromium, server)
        visit.open("owner", server.draft("small-mill", texts).id)
        assert visit.metric("Net present cost") != wanted
        visit.settled()
        _, of_a_position = most_alive(log)
        log.unlink()
        slider = visit.page.get_by_role("slider", name=YEARS)
        slider.focus()
        for _ in range(STEPS):
            visit.page.keyboard.press("ArrowRight")
            visit.page.wait_for_timeout(BETWEEN)  # a hand that drags, not a wait for anything
        expect(slider).to_have_value("18")
        visit.shows("Net present cost", wanted).settled()
        most, begun = most_alive(log)
        assert most == 1
        # one a step, and for the last position all that the page asks for
        assert begun <= STEPS - 1 + of_a_position
        visit.end()
