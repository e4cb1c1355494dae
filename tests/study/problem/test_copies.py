"""Copies of a process at work: the same to the last bit, in order, and none is left behind."""

import logging
import os
import signal
import sys
from collections.abc import Iterator

import pytest

from optioneer.errors import RequestError
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem import copies
from optioneer.study.problem.copies import in_a_copy, shared_out
from optioneer.study.problem.futures import with_draws
from optioneer.valuation.cache.memory import MEMORY
from tests.oracle.cases import driven

pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="elsewhere no copies are made"),
    pytest.mark.filterwarnings("ignore:.*multi-threaded.*:DeprecationWarning"),
]


@pytest.fixture(autouse=True)
def allowed() -> Iterator[None]:
    copies.allow()
    yield
    copies.allow(copies=False)


def test_an_advice_in_copies_is_the_same_to_the_last_bit(monkeypatch: pytest.MonkeyPatch) -> None:
    request = AdviceRequest(with_draws(driven(), 64), prove=True)
    monkeypatch.setattr(MEMORY, "beyond", None)
    MEMORY.forget()
    in_copies = advice(request)
    copies.allow(copies=False)
    MEMORY.forget()
    assert advice(request) == in_copies


def test_two_share_the_work_and_results_keep_their_order() -> None:
    waited, told = os.pipe()

    def work(number: int) -> int:
        if number == 0:  # until somebody else has begun the next
            os.read(waited, 1)
        if number == 1:
            os.write(told, b".")
        return number * 10

    def who(number: int) -> tuple[int, int]:
        return work(number), os.getpid()

    found = shared_out(who, range(40))
    assert [result for result, _ in found] == [*range(0, 400, 10)]
    assert found[0][1] != found[1][1]
    assert os.getpid() in {found[0][1], found[1][1]}


def test_what_is_begun_beside_is_done_by_a_copy() -> None:
    with in_a_copy(os.getpid) as who:
        assert who() != os.getpid()


def test_without_leave_everything_is_done_here() -> None:
    copies.allow(copies=False)
    with in_a_copy(os.getpid) as who:
        assert who() == os.getpid()
    assert shared_out(lambda _: os.getpid(), [1, 2, 3]) == [os.getpid()] * 3


def test_a_mistake_in_a_copy_comes_out() -> None:
    def refuse() -> None:
        raise RequestError("--budget: it is too little.")

    with in_a_copy(refuse) as refused, pytest.raises(RequestError, match="too little"):
        refused()


def test_the_work_of_a_copy_that_dies_is_done_here_and_told(
    caplog: pytest.LogCaptureFixture,
) -> None:
    here = os.getpid()

    def die_elsewhere() -> str:
        if os.getpid() != here:
            os.kill(os.getpid(), signal.SIGKILL)
        return "done"

    with caplog.at_level(logging.WARNING), in_a_copy(die_elsewhere) as done:
        assert done() == "done"
    assert "A copy of the process has ended" in caplog.text
    assert shared_out(lambda number: (number, die_elsewhere()), range(9)) == [
        (number, "done") for number in range(9)
    ]


class GivenUpError(Exception):
    """Whoever waited does so no more."""


def test_no_copy_is_left_when_somebody_gives_up() -> None:
    def give_up() -> None:
        raise GivenUpError

    here = os.getpid()

    def work(number: int) -> int:
        if os.getpid() != here:
            signal.pause()
        return number

    with pytest.raises(GivenUpError):
        shared_out(work, range(9), give_up)
    with pytest.raises(ChildProcessError):
        os.waitpid(-1, os.WNOHANG)
