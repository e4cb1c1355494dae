"""Slow work beside the pages: one computation alive a session, the last wish wins.

A new wish stops the work under way (its next report of progress raises) and takes its place;
server-wide no more computations run than there are cores, and few wait.
"""

import os
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, field
from typing import Any

from optioneer.app.engine.memory import give_back
from optioneer.errors import OptioneerError
from optioneer.study.problem.effort import Progress

WorkStage = Callable[[Progress], Any]
"""A piece of work that tells how far it is; its answer is shown as soon as it is there."""

MOST_WAITING = 8
"""Sessions that wait for a core; more are told that the server is busy."""

MOST_REMEMBERED = 8
"""Errands that are done and remembered by a session."""

TICK = 0.02
"""How often something that waits looks up [s]."""


PAUSE = 0.8
"""How long a better answer is put off: a slider that is still moving then waits for nothing [s]."""


class StoppedError(Exception):
    """Work that is no longer wanted."""


class BusyError(OptioneerError):
    """More people ask at once than the machine can serve."""


class Cores:
    """The computations that may run at once on this machine.

    Parameters
    ----------
    count
        How many.
    """

    def __init__(self, count: int) -> None:
        self._free = threading.BoundedSemaphore(count)
        self._lock = threading.Lock()
        self._waiting = 0

    def take(self, stopped: Callable[[], bool]) -> None:
        """Wait for a free core.

        Raises
        ------
        BusyError
            Too many wait already.
        StoppedError
            The work is no longer wanted.
        """
        if self._free.acquire(blocking=False):
            return
        with self._lock:
            if self._waiting >= MOST_WAITING:
                raise BusyError("The server is busy with other questions. Ask again in a moment.")
            self._waiting += 1
        try:
            while not self._free.acquire(timeout=TICK):
                if stopped():
                    raise StoppedError
        finally:
            with self._lock:
                self._waiting -= 1

    def give_back(self) -> None:
        """Let the next one have the core."""
        self._free.release()


CORES = Cores(os.cpu_count() or 1)


@dataclass
class Errand:
    """A wish under way.

    Parameters
    ----------
    key
        What it is about; the same key is the same wish.
    stages
        A quick answer first, then better ones.
    answers
        Of the stages that are done.
    share
        How far the stage under way is, 0..1.
    error
        Why there are no more answers: a user's mistake, or a fault of the program.
    present
        Whether whoever asked is still there.
    left
        Whether it ended because nobody was there any more.
    """

    key: Hashable
    stages: Sequence[WorkStage]
    answers: list[Any] = field(default_factory=list)
    share: float = 0.0
    error: BaseException | None = None
    present: Callable[[], bool] = lambda: True
    left: bool = False
    _stop: threading.Event = field(default_factory=threading.Event)
    _ended: threading.Event = field(default_factory=threading.Event)

    @property
    def alive(self) -> bool:
        """Whether more answers may come."""
        return not self._ended.is_set()

    @property
    def stopped(self) -> bool:
        """Whether it is no longer wanted."""
        return self._stop.is_set()

    @property
    def answer(self) -> Any:
        """The best answer so far; none while there is none.

        Raises
        ------
        BaseException
            Whatever kept the first stage from answering.
        """
        if self.answers:
            return self.answers[-1]
        if self.error is not None and not isinstance(self.error, StoppedError):
            raise self.error
        return None

    def stop(self) -> None:
        """Say that it is no longer wanted; it ends at its next report of progress."""
        self._stop.set()

    def wait(self, seconds: float, *, answers: int = 1) -> None:
        """Wait until so many answers are there or it has ended, but not longer than asked."""
        end = time.monotonic() + seconds
        while self.alive and len(self.answers) < answers and time.monotonic() < end:
            time.sleep(TICK)

    def drop(self) -> None:
        """End it before it began."""
        self.error = StoppedError()
        self._stop.set()
        self._ended.set()

    def run(self) -> None:
        """Do the work."""
        try:
            CORES.take(self._stop.is_set)
        except (StoppedError, BusyError) as error:
            self.error = error
            self._ended.set()
            return
        try:
            self._answer()
        except (StoppedError, OptioneerError) as error:
            self.error = error.with_traceback(None)  # it would hold all that was worked on
        except BaseException as error:  # noqa: BLE001 - handed to the page that asked, whole
            self.error = error
        finally:
            CORES.give_back()
            self._ended.set()
            give_back()

    def _answer(self) -> None:
        for number, stage in enumerate(self.stages):
            if number:
                self._stop.wait(PAUSE)
            self._told(0.0)
            self.answers.append(stage(self._told))

    def _told(self, share: float) -> None:
        self.left = not self.present()
        if self.left or self._stop.is_set():
            raise StoppedError
        self.share = share


class Bench:
    """The work of one session: at most one errand runs, at most one waits, a few are remembered.

    Parameters
    ----------
    present
        Whether the visitor is still there; work for one who left stops by itself.
    """

    def __init__(self, present: Callable[[], bool] = lambda: True) -> None:
        self._present = present
        self._lock = threading.Lock()
        self._running: Errand | None = None
        self._next: Errand | None = None
        self._done: OrderedDict[Hashable, Errand] = OrderedDict()

    def ask(self, key: Hashable, *stages: WorkStage) -> Errand:
        """The errand about `key`: one that is under way or remembered, or else a new one.

        A new one takes the place of whatever is under way.

        Parameters
        ----------
        key
            What it is about.
        stages
            A quick answer first, then better ones.
        """
        with self._lock:
            known = self._known(key)
            if known is not None:
                return known
            errand = Errand(key, stages, present=self._present)
            if self._next is not None:
                self._next.drop()
            if self._running is not None and self._running.alive:
                self._running.stop()
                self._next = errand
            else:
                self._start(errand)
            return errand

    def forget(self, key: Hashable) -> None:
        """Ask anew the next time, e.g. after work was stopped."""
        with self._lock:
            self._done.pop(key, None)

    def close(self) -> None:
        """Stop everything."""
        with self._lock:
            for errand in (self._running, self._next):
                if errand is not None:
                    errand.stop()

    def _known(self, key: Hashable) -> Errand | None:
        latest = self._next or self._running
        if latest is not None and latest.key == key and latest.alive and not latest.stopped:
            return latest
        return self._done.get(key)

    def _start(self, errand: Errand) -> None:
        self._running, self._next = errand, None
        threading.Thread(target=self._work, args=(errand,), daemon=True).start()

    def _work(self, errand: Errand) -> None:
        errand.run()
        with self._lock:
            if self._next is not None:
                self._start(self._next)
            elif not errand.left:
                self._done[errand.key] = errand
                while len(self._done) > MOST_REMEMBERED:
                    self._done.popitem(last=False)
