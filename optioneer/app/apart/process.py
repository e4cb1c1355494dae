"""What the process beside the server does: one piece of work after the other, until it is told.

It answers with ("share", how far, 0), ("answer", what came, memory) or ("fault", error, memory).
"""

import os
import pickle
import signal
import sys
import time
import traceback
from collections.abc import Callable
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from types import FrameType
from typing import Any

from optioneer.app.apart.memory import give_back

SELDOM = 0.05
"""How often it is told how far the work is [s]."""

LOOK = 1.0
"""How often it is looked whether the server is still there [s]."""

FIRST = 2
"""Pieces of work that somebody waits for at a blank page: a case is read, and previewed."""

POLITE = 5
"""How much the machine prefers the server from then on."""


STOP = "stop"
"""Said before the signal to stop, which may come before the work is begun or after it is done."""


class _StopError(BaseException):
    """The work is no longer wanted."""


class Worker:
    """Who works at the other end of the line.

    Parameters
    ----------
    line
        To the server.
    """

    def __init__(self, line: Connection) -> None:
        self.line, self._working, self._stopped, self._told = line, False, False, 0.0

    def serve(self) -> None:
        """Work until the server hangs up."""
        signal.signal(signal.SIGUSR1, self._interrupt)
        number = 1
        with suppress(EOFError, OSError):
            while True:
                asked = self.line.recv()
                if asked == STOP:  # it came when the work was done
                    continue
                answer = self._answer(*asked)
                give_back()
                self.line.send((*answer, held_memory()))
                del answer  # not kept until the next one comes
                if number == FIRST and hasattr(os, "nice"):
                    os.nice(POLITE)
                number += 1

    def _answer(self, work: Callable[..., Any], arguments: tuple[Any, ...]) -> tuple[str, Any]:
        try:
            try:
                self._working, self._stopped = True, False
                if self.line.poll():  # nothing else can have come: the signal was too early
                    raise _StopError
                found = ("answer", work(*arguments, progress=self._share))
            finally:
                self._working = False
        except _StopError:
            self.line.recv()  # what came before the signal
            found = ("fault", InterruptedError())
        except BrokenPipeError:  # there is no server any more
            raise
        except Exception as error:  # noqa: BLE001 - handed to the server, whole
            found = ("fault", _portable(error))
        self._working = False
        return found

    def _share(self, share: float) -> None:
        now = time.monotonic()
        if now - self._told > SELDOM:
            self._told = now
            self.line.send(("share", share, 0.0))

    def _interrupt(self, number: int, frame: FrameType | None) -> None:
        del number, frame
        self._stopped = True
        self.stop_again()

    def stop_again(self) -> None:
        """Stop work that was told to and goes on: what is raised in a finalizer is lost."""
        if self._working and self._stopped:
            raise _StopError


def _portable(error: Exception) -> Exception:
    """The error as it can be sent, its traceback as a note; else what it says."""
    text = "".join(traceback.format_exception(error))
    error.add_note(text)
    try:
        pickle.loads(pickle.dumps(error))  # noqa: S301 - made here
    except Exception:  # noqa: BLE001 - whatever keeps it from being sent
        return RuntimeError(text)
    return error.with_traceback(None)


def held_memory() -> float:
    """Memory that this process holds, where the system tells [MB]."""
    status = Path("/proc/self/statm")
    if not status.exists():
        return 0.0
    pages = int(status.read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def _look_after(server: int, worker: Worker) -> None:
    """End when the server has gone, however it went; see that a stop is not lost."""

    def look(number: int, frame: FrameType | None) -> None:
        del number, frame
        if os.getppid() != server:
            os._exit(0)
        worker.stop_again()

    signal.signal(signal.SIGALRM, look)
    signal.setitimer(signal.ITIMER_REAL, LOOK, LOOK)


def _tell_unless_stopped(lost: "sys.UnraisableHookArgs") -> None:
    """Tell of an error that was raised where none can be; a stop comes again."""
    if lost.exc_type is not _StopError:
        sys.__unraisablehook__(lost)


def main() -> None:
    """Import what is needed, then work."""
    worker = Worker(Connection(int(sys.argv[1])))
    sys.unraisablehook = _tell_unless_stopped
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends this one
    _look_after(os.getppid(), worker)
    from optioneer.app.apart import worked_out  # noqa: F401, PLC0415 - imported to be ready
    from optioneer.study.problem import copies  # noqa: PLC0415 - once signals are seen to

    copies.allow()
    worker.serve()


if __name__ == "__main__":
    main()
