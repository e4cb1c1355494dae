"""A process beside the server that does the long work, so that pages are drawn meanwhile.

Threads do not help: hundreds of short sums hold the interpreter's lock, and a page that is drawn
waits for them. The process is kept, and what it has valued with it; it does one piece of work at a
time. Where there is none (on systems without sockets to hand over, in tests) and where it has died
the server does the work itself, with the same result.
"""

import logging
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from multiprocessing.connection import Connection
from typing import Any, TypeVar

from optioneer.app.apart import process
from optioneer.app.apart.process import STOP
from optioneer.study.problem.effort import Progress

LOG = logging.getLogger(__name__)

MODULE = process.__name__
"""What the process runs."""

MOST_HELD = 800.0
"""Memory that the process may hold after a piece of work; then another one takes its place [MB]."""

TICK = 0.02
"""How often who waits looks whether he still wants to [s]."""

OBEYS = 2.0
"""How long the process may take to stop; then it is ended [s]."""

R = TypeVar("R")


class Aside:
    """The process beside the server: none before `open`."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._wanted = False
        self._process: subprocess.Popen[bytes] | None = None
        self._line: Connection | None = None

    @property
    def process(self) -> int | None:
        """Number of the process; none where there is none."""
        return None if self._process is None else self._process.pid

    def open(self) -> None:
        """Start the process, where the system can hand it a socket."""
        if sys.platform == "win32":
            return
        with self._turn:
            self._wanted = True
            self._start()

    def close(self) -> None:
        """End the process, whatever it is at; the server does without from now on."""
        self._wanted = False
        self._end()

    def done(self, work: Callable[..., R], *arguments: Any, progress: Progress | None) -> R:
        """What `work(*arguments, progress=...)` returns or raises, worked out beside the server.

        Parameters
        ----------
        work
            A function of a module; it, its arguments and its result can be pickled.
        progress
            Told how far it is, and asked while it waits for its turn; what it raises stops it.
        """
        heard = progress or _nothing
        if self._wanted:
            with self._its_turn(heard):
                told = self._outcome_of(work, arguments, heard)
            if told is not None:
                result: R = _result(*told)
                return result
        return work(*arguments, progress=progress)

    def _start(self) -> None:
        """Start it; where the system has no room for it the server does without."""
        ours, theirs = socket.socketpair()
        with theirs:
            number = theirs.fileno()
            try:
                self._process = subprocess.Popen(  # noqa: S603 - our own module
                    [sys.executable, "-m", MODULE, str(number)],
                    pass_fds=[number],
                    stdin=subprocess.DEVNULL,
                )
            except OSError as error:
                ours.close()
                LOG.warning("No process can be started beside the server: %s.", error)
                return
        self._line = Connection(ours.detach())

    def _end(self) -> None:
        ended, self._process, self._line = self._process, None, None
        if ended is not None:
            ended.kill()
            ended.wait()

    def _anew(self) -> None:
        self._end()
        if self._wanted:
            self._start()

    @contextmanager
    def _its_turn(self, heard: Progress) -> Iterator[None]:
        while not self._turn.acquire(timeout=TICK):
            heard(0.0)
        try:
            yield
        finally:
            self._turn.release()

    def _outcome_of(
        self, work: Callable[..., Any], arguments: tuple[Any, ...], heard: Progress
    ) -> tuple[str, Any] | None:
        """How it ended, and with what; none where the process has died over it."""
        if self._line is None or not self._wanted:
            return None
        try:
            self._line.send((work, arguments))
            kind, value, held = _heard(self._line, heard)
        except (EOFError, OSError):
            if self._wanted:
                LOG.warning("The process beside the server has ended; the server works it out.")
                self._anew()
            return None
        except BaseException:
            self._stop(self._line)
            raise
        if held > MOST_HELD:
            LOG.info("The process beside the server held %.0f MB; a new one takes over.", held)
            self._anew()
        return kind, value

    def _stop(self, line: Connection) -> None:
        """Have it stop; what does not obey in time is ended."""
        if self._process is None:
            return
        with suppress(EOFError, OSError):
            line.send(STOP)
            os.kill(self._process.pid, signal.SIGUSR1)
            end = time.monotonic() + OBEYS
            while line.poll(max(end - time.monotonic(), 0.0)):
                if line.recv()[0] != "share":
                    return
        self._anew()


def _heard(line: Connection, heard: Progress) -> tuple[str, Any, float]:
    """What comes at last: how it ended, with what, and the memory that is held then [MB]."""
    share = 0.0
    while True:
        heard(share)
        if line.poll(TICK):
            kind, value, held = line.recv()
            if kind != "share":
                return kind, value, held
            share = value


def _result(kind: str, value: Any) -> Any:
    if kind == "fault":
        raise value
    return value


def _nothing(share: float) -> None:
    del share


ASIDE = Aside()
"""The one of this server."""
