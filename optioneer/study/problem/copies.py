"""Work done in a copy of this process, which has all that it has: no arrays are sent to it.

A copy is made only where a process says that it may be (`allow`): one with no other thread, on a
system that copies what is written to and nothing else. Elsewhere the work is done here, with the
same result to the last bit.
"""

import logging
import os
import pickle
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from select import select
from typing import Generic, TypeVar

from optioneer.study.problem.cores import BEAT

LOG = logging.getLogger(__name__)

_Item = TypeVar("_Item")
_Result = TypeVar("_Result")

MOST_ITEMS = 256
"""Items that can be shared out; of more, each is done here."""

_ALLOWED: list[bool] = []


def allow(*, copies: bool = True) -> None:
    """Say whether copies of this process may be made."""
    _ALLOWED[:] = [True] if copies and sys.platform == "linux" else []


def allowed() -> bool:
    """Whether copies of this process may be made."""
    return bool(_ALLOWED)


@contextmanager
def in_a_copy(work: Callable[[], _Result]) -> Iterator[Callable[[], _Result]]:
    """The result of `work`, which is begun now in a copy, or else done when it is asked for.

    What is sent back is the result alone: what the work has kept for later stays in the copy.
    """
    if not allowed():
        yield work
        return
    with _copied(work) as copy:
        yield lambda: copy.result_or(work)


def shared_out(
    work: Callable[[_Item], _Result],
    items: Sequence[_Item],
    beat: Callable[[], None] | None = None,
) -> list[_Result]:
    """The results in the order of the items, each worked on by whoever is free first.

    Parameters
    ----------
    beat
        Called after each item that is worked on here, and while results are waited for.
    """
    heard = beat or _silent
    found: dict[int, _Result] = {}
    if allowed() and 1 < len(items) <= MOST_ITEMS:
        found = _in_two(work, items, heard)
    for number, item in enumerate(items):
        if number not in found:
            found[number] = work(item)
            heard()
    return [found[number] for number in range(len(items))]


def _in_two(
    work: Callable[[_Item], _Result], items: Sequence[_Item], heard: Callable[[], None]
) -> dict[int, _Result]:
    """The results by number; those of a copy that died are not among them."""
    numbers, given = os.pipe()
    os.write(given, bytes(range(len(items))))
    os.close(given)

    def some(heard: Callable[[], None]) -> dict[int, _Result]:
        found = {}
        while number := os.read(numbers, 1):
            found[number[0]] = work(items[number[0]])
            heard()
        return found

    try:
        with _copied(lambda: some(_silent)) as copy:
            found = some(heard)
            return found | copy.result_or(dict, heard)
    finally:
        os.close(numbers)


class _Copy(Generic[_Result]):
    """A copy of this process at work."""

    def __init__(self, work: Callable[[], _Result]) -> None:
        self._line, theirs = os.pipe()
        self.number = os.fork()
        if self.number == 0:
            _work_in_copy(work, theirs)
        os.close(theirs)

    def result_or(
        self, otherwise: Callable[[], _Result], heard: Callable[[], None] | None = None
    ) -> _Result:
        """What the copy sends, or raises; `otherwise` where it has died."""
        sent = bytearray()
        while True:
            if heard is not None and not select([self._line], [], [], BEAT)[0]:
                heard()
                continue
            part = os.read(self._line, 2**20)
            if not part:
                break
            sent += part
        if not sent:
            LOG.warning("A copy of the process has ended; its work is done here.")
            return otherwise()
        error, result = pickle.loads(sent)  # noqa: S301 - sent by a copy of this process
        if error is not None:
            raise error
        found: _Result = result
        return found

    def end(self) -> None:
        """End it, whatever it is at."""
        os.close(self._line)
        with suppress(ProcessLookupError):
            os.kill(self.number, signal.SIGKILL)
        os.waitpid(self.number, 0)


@contextmanager
def _copied(work: Callable[[], _Result]) -> Iterator[_Copy[_Result]]:
    copy = _Copy(work)
    try:
        yield copy
    finally:
        copy.end()


def _work_in_copy(work: Callable[[], _Result], line: int) -> None:
    """Do the work, send what came of it, and end without another word."""
    allow(copies=False)
    try:
        try:
            sent = pickle.dumps((None, work()), protocol=pickle.HIGHEST_PROTOCOL)
        except Exception as error:  # noqa: BLE001 - raised again by who waits
            sent = pickle.dumps((error, None))
        with os.fdopen(line, "wb") as file:
            file.write(sent)
    finally:
        os._exit(0)


def _silent() -> None:
    pass
