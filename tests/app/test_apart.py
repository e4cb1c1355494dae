"""Work beside the server: the same answers, stopped at once, and nobody is lost with it."""

import logging
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from optioneer.app.apart.aside import Aside
from optioneer.app.apart.process import SELDOM
from optioneer.errors import RequestError
from optioneer.study.problem.effort import Progress
from tests.patience import PATIENCE

LONG = PATIENCE
"""Longer than any test runs [s]."""


def doubled(number: int, *, progress: Progress | None) -> tuple[int, int]:
    """Twice a number, and who worked it out."""
    if progress is not None:
        progress(0.5)
    return 2 * number, os.getpid()


def modules(*, progress: Progress | None) -> set[str]:
    del progress
    return set(sys.modules)


def long_silent(*, progress: Progress | None) -> None:
    """Work that tells nothing for long."""
    del progress
    end = time.monotonic() + LONG
    while time.monotonic() < end:
        time.sleep(0.01)


class Slow:
    """What takes its time to go; whatever is raised then is lost."""

    def __del__(self) -> None:
        """Take half a second."""
        end = time.monotonic() + 0.5
        while time.monotonic() < end:
            time.sleep(0.01)


def long_silent_once_it_is_rid_of_something(*, progress: Progress | None) -> None:
    """Work that is told to stop just as something slow goes."""
    slow = Slow()
    assert progress is not None
    time.sleep(2 * SELDOM)  # else it may be too soon after the last share that was told
    progress(0.5)
    del slow
    long_silent(progress=None)


def refused(*, progress: Progress | None) -> None:
    del progress
    raise RequestError("--budget: it is too little.")


def broken(*, progress: Progress | None) -> None:
    del progress
    raise ZeroDivisionError


def killed(number: int, *, progress: Progress | None) -> int:
    """Work that takes its process with it, unless that is this one."""
    del progress
    if os.getpid() != number:
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def runs(process: int) -> bool:
    """Whether a process runs: one that has ended is still listed until somebody asks after it."""
    try:
        told = Path("/proc", str(process), "stat").read_text(encoding="utf-8", errors="replace")
    except (FileNotFoundError, ProcessLookupError):
        return False
    return told.rpartition(")")[2].split()[0] not in {"Z", "X"}


class GivenUpError(Exception):
    """Whoever waited does so no more."""


def gives_up(share: float) -> None:
    del share
    raise GivenUpError


def gives_up_on_the_way(share: float) -> None:
    if share > 0.0:
        raise GivenUpError


@pytest.fixture(scope="module")
def aside() -> Iterator[Aside]:
    opened = Aside()
    opened.open()
    yield opened
    opened.close()


def test_what_is_worked_out_aside_is_the_same_and_not_worked_out_here(aside: Aside) -> None:
    twice, who = aside.done(doubled, 21, progress=None)
    assert twice == 42
    assert who == aside.process != os.getpid()


def test_the_process_knows_nothing_of_pages(aside: Aside) -> None:
    loaded = aside.done(modules, progress=None)
    assert "optioneer.app.apart.worked_out" in loaded
    assert "streamlit" not in loaded


def test_a_stop_reaches_work_that_tells_nothing_and_the_process_stays(aside: Aside) -> None:
    before = aside.process
    with pytest.raises(GivenUpError):
        aside.done(long_silent, progress=gives_up)
    assert aside.done(doubled, 1, progress=None) == (2, before)


def test_a_stop_that_is_raised_where_it_is_lost_comes_again(
    aside: Aside, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("optioneer.app.apart.aside.OBEYS", 60.0)
    before = aside.process
    with pytest.raises(GivenUpError):
        aside.done(long_silent_once_it_is_rid_of_something, progress=gives_up_on_the_way)
    assert aside.done(doubled, 1, progress=None) == (2, before)


def test_mistakes_and_faults_come_back_as_what_they_are(aside: Aside) -> None:
    with pytest.raises(RequestError, match="too little"):
        aside.done(refused, progress=None)
    with pytest.raises(ZeroDivisionError) as caught:
        aside.done(broken, progress=None)
    assert "in broken" in "".join(caught.value.__notes__)


def test_one_who_dies_is_replaced_and_the_work_is_done_here_and_told(
    aside: Aside, caplog: pytest.LogCaptureFixture
) -> None:
    before = aside.process
    with caplog.at_level(logging.WARNING):
        assert aside.done(killed, os.getpid(), progress=None) == os.getpid()
    assert "The process beside the server has ended" in caplog.text
    assert before != aside.process == aside.done(doubled, 1, progress=None)[1]


def test_without_a_process_work_is_done_here() -> None:
    assert Aside().done(doubled, 21, progress=None) == (42, os.getpid())


def test_where_no_process_can_be_started_work_is_done_here_and_that_is_told(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(sys, "executable", "/no/such/program")
    without = Aside()
    with caplog.at_level(logging.WARNING):
        without.open()
    assert "No process can be started beside the server" in caplog.text
    assert without.done(doubled, 21, progress=None) == (42, os.getpid())


def test_nothing_is_left_running_after_a_server_that_was_killed() -> None:
    server = (
        "import os, signal\n"
        "from optioneer.app.apart.aside import Aside\n"
        "aside = Aside(); aside.open()\n"
        "print(aside.process, flush=True)\n"
        "os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", server],
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE,
    )
    process, end = int(ran.stdout), time.monotonic() + PATIENCE
    while runs(process) and time.monotonic() < end:
        time.sleep(0.05)
    assert not runs(process)
