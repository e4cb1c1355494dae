"""Slow work beside the pages: one computation alive a session, the last wish wins.

What the page on the screen has asked for is done in turn; what only an earlier drawing of it asked
for gives way: it is stopped (its next report of progress raises) unless it is nearly done;
server-wide no more computations run than there are cores, first answers beside better ones, and
few wait.
"""

import os
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from optioneer.app.apart.ahead import Ahead
from optioneer.app.apart.memory import give_back, tidy
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


SOON = 1.0
"""Work that gives way is finished where so much is left of its stage, at the pace so far [s]."""

HALF = 0.5
"""Earlier than this nobody knows the pace."""


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

    def take(self, stopped: Callable[[], bool], *, patient: bool = False) -> None:
        """Wait for a free core; who is patient does so however many wait.

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
            if self._waiting >= MOST_WAITING and not patient:
                raise BusyError("The server is busy with other questions. Ask again in a moment.")
            self._waiting += 1
        try:
            while not self._free.acquire(timeout=TICK):
                if stopped():
                    raise StoppedError
        finally:
            with self._lock:
                self._waiting -= 1

    @contextmanager
    def core(self, stopped: Callable[[], bool], *, patient: bool = False) -> Iterator[None]:
        """A core, once one is free; then the next one has it. Parameters and errors of `take`."""
        self.take(stopped, patient=patient)
        try:
            yield
        finally:
            self._free.release()


CORES = Cores(os.cpu_count() or 1)

QUICK = Cores(os.cpu_count() or 1)
"""For first answers that better ones follow: nobody waits for these until somebody else's long
work is done."""


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
    gave_way
        Whether something else was asked for instead.
    turn
        The drawing of the page that asked for it last.
    calm
        Whether no slider moves that would soon ask for something else.
    ahead
        Whether the second stage, which another process works on, is begun beside the first.
    """

    key: Hashable
    stages: Sequence[WorkStage]
    answers: list[Any] = field(default_factory=list)
    share: float = 0.0
    error: BaseException | None = None
    present: Callable[[], bool] = lambda: True
    left: bool = False
    gave_way: bool = False
    turn: int = 0
    calm: bool = False
    ahead: bool = False
    _begun: float | None = None
    _stop: threading.Event = field(default_factory=threading.Event)
    _ended: threading.Event = field(default_factory=threading.Event)
    _news: threading.Condition = field(default_factory=threading.Condition)

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

    def give_way(self) -> None:
        """Make room for something else: at once, or when what is nearly done is done."""
        self.gave_way = True
        if not self._nearly_done():
            self.stop()

    def _nearly_done(self) -> bool:
        begun, share = self._begun, self.share
        if begun is None or share < HALF:
            return False
        return (time.monotonic() - begun) * (1 - share) / share <= SOON

    def wait(self, seconds: float, *, answers: int = 1) -> None:
        """Wait until so many answers are there or it has ended, but not longer than asked."""
        with self._news:
            self._news.wait_for(lambda: not self.alive or len(self.answers) >= answers, seconds)

    def drop(self) -> None:
        """End it before it began."""
        self.error = StoppedError()
        self._stop.set()
        self._end()

    def run(self) -> None:
        """Do the work."""
        try:
            self._answer()
        except (StoppedError, OptioneerError) as error:
            self.error = error.with_traceback(None)  # it would hold all that was worked on
        except BaseException as error:  # noqa: BLE001 - handed to the page that asked, whole
            self.error = error
        finally:
            self._end()
            tidy() or give_back()

    def _end(self) -> None:
        with self._news:
            self._ended.set()
            self._news.notify_all()

    def _answer(self) -> None:
        first, stages = len(self.answers), list(self.stages)
        if self.ahead and first == 0 and len(stages) > 1:
            stages[1] = self._begun_ahead(stages[1])
        for number, stage in enumerate(stages[first:], first):
            if number > first and not self.calm:
                self._stop.wait(PAUSE)
            if self.gave_way:
                raise StoppedError
            quick = number == 0 and len(self.stages) > 1
            with (QUICK if quick else CORES).core(self._stop.is_set, patient=number > 0):
                self._tell(0.0)
                self._begun = time.monotonic()
                self._found(stage(self._tell))
                self._begun = None

    def _found(self, answer: Any) -> None:
        with self._news:
            self.answers.append(answer)
            self._news.notify_all()

    def _begun_ahead(self, stage: WorkStage) -> WorkStage:
        """The stage, begun now: it then only has to be waited for."""
        ahead = Ahead(stage, self._heard)
        threading.Thread(target=ahead.run, daemon=True).start()
        return ahead.result

    def _heard(self) -> None:
        """Look whether the work is still wanted."""
        if self._stop.is_set() or self.gave_way or not self.present():
            raise StoppedError

    def _tell(self, share: float) -> None:
        self.left = not self.present()
        if self.left or self._stop.is_set():
            raise StoppedError
        self.share = share


class Bench:
    """The work of one session: at most one errand runs, a few are remembered.

    Parameters
    ----------
    present
        Whether the visitor is still there; work for one who left stops by itself.
    """

    def __init__(self, present: Callable[[], bool] = lambda: True) -> None:
        self._present = present
        self._lock = threading.Lock()
        self._turn = 0
        self._running: Errand | None = None
        self._waiting: list[Errand] = []
        self._done: OrderedDict[Hashable, Errand] = OrderedDict()

    @property
    def latest(self) -> Errand | None:
        """What was asked for last and is not remembered yet."""
        return self._waiting[-1] if self._waiting else self._running

    def turn(self) -> None:
        """Begin a drawing of the page; what it does not ask for gives way to what it does."""
        with self._lock:
            self._turn += 1

    def ask(
        self,
        key: Hashable,
        *stages: WorkStage,
        enough: int | None = None,
        calm: bool = False,
        ahead: bool = False,
    ) -> Errand:
        """The errand about `key`: one that is under way or remembered, or else a new one.

        A new one waits for what the same drawing asked for before.

        Parameters
        ----------
        key
            What it is about.
        stages
            A quick answer first, then better ones.
        enough
            So many answers are all that is needed now; then it gives way to anything else.
        calm
            Whether better answers are begun at once, as no slider moves.
        ahead
            Whether the second stage is begun beside the first.
        """
        with self._lock:
            errand = self._errand_for(key, enough)
            if errand is None:
                so_far = self._done[key].answers if key in self._done else ()
                errand = Errand(
                    key, stages, list(so_far), present=self._present, calm=calm, ahead=ahead
                )
                self._make_room()
                self._waiting.append(errand)
                if self._running is None:
                    self._start(self._waiting.pop(0))
            if enough is None or len(errand.answers) < enough:
                errand.turn = self._turn
            return errand

    def waits(self, errand: Errand) -> bool:
        """Whether something else has to be done before an errand is begun."""
        return errand in self._waiting

    def forget(self, key: Hashable) -> None:
        """Ask anew the next time, e.g. after work was stopped."""
        with self._lock:
            self._done.pop(key, None)

    def close(self) -> None:
        """Stop everything."""
        with self._lock:
            self._turn += 1
            self._make_room()
            if self._running is not None:
                self._running.stop()

    def _errand_for(self, key: Hashable, enough: int | None) -> Errand | None:
        """What is under way or remembered, unless it gave way before it had answers enough."""
        done = self._done.get(key)
        for errand in (self._running, *self._waiting, done):
            if errand is None or errand.key != key:
                continue
            whole = not errand.gave_way or (errand is done and errand.error is None)
            if whole or (enough is not None and len(errand.answers) >= enough):
                return errand
        return None

    def _make_room(self) -> None:
        """What only an earlier drawing asked for gives way."""
        for errand in self._waiting:
            if errand.turn != self._turn:
                errand.drop()
        self._waiting = [errand for errand in self._waiting if errand.turn == self._turn]
        if self._running is not None and self._running.turn != self._turn:
            self._running.give_way()

    def _start(self, errand: Errand) -> None:
        self._running = errand
        threading.Thread(target=self._work, args=(errand,), daemon=True).start()

    def _work(self, errand: Errand) -> None:
        errand.run()
        with self._lock:
            if errand.answers or not (errand.left or errand.gave_way):
                self._done[errand.key] = errand
                while len(self._done) > MOST_REMEMBERED:
                    self._done.popitem(last=False)
            self._running = None
            if self._waiting:
                self._start(self._waiting.pop(0))
