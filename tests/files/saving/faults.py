"""Faults at the points where a process writes: a full disk, a broken one, Ctrl-C, death.

A point is a call that changes something on the disk. Faults are put there before the call, after
it, or in the middle of a write; an error can last, as on a disk that stays full.
"""

import errno
import os
import signal
import stat
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

import pytest

CALLS = ("mkdir", "rmdir", "unlink", "remove", "rename", "replace", "chmod", "fsync", "open")
WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT
KILLED = 9


@dataclass(frozen=True)
class Kind:
    """What happens at a point.

    Parameters
    ----------
    what
        Name of an error, ``interrupt`` (raised there), ``signal`` (Ctrl-C sent there) or ``death``.
    after
        Whether the call is done first, all the same.
    lasting
        Whether everything behind it fails too.
    """

    what: str
    after: bool = False
    lasting: bool = False

    def strike(self) -> None:
        """Let it happen."""
        if self.what == "interrupt":
            raise KeyboardInterrupt
        if self.what == "signal":
            signal.raise_signal(signal.SIGINT)
            return
        if self.what == "death":
            os._exit(KILLED)
        number = getattr(errno, self.what)
        raise OSError(number, os.strerror(number))


KINDS = (
    Kind("ENOSPC"),
    Kind("EIO"),
    Kind("EIO", after=True),
    Kind("ENOSPC", lasting=True),
    Kind("EIO", lasting=True),
    Kind("EACCES", lasting=True),
    Kind("interrupt"),
    Kind("interrupt", after=True),
    Kind("signal"),
    Kind("signal", after=True),
    Kind("death"),
    Kind("death", after=True),
)


class Points:
    """Counts the points, and strikes at one of them.

    Parameters
    ----------
    kind, at
        What happens, and at which point, from 1; 0: nowhere.
    """

    def __init__(self, kind: Kind, at: int) -> None:
        self.kind, self.at, self.seen = kind, at, 0

    @property
    def struck(self) -> bool:
        """Whether the process came that far."""
        return 0 < self.at <= self.seen

    def passed(self, really: Callable[..., Any], *arguments: Any, **more: Any) -> Any:
        """The call, with what happens there."""
        self.seen += 1
        here = self.seen == self.at or (self.kind.lasting and self.struck)
        if here and not self.kind.after:
            self.kind.strike()
        found = really(*arguments, **more)
        if here and self.kind.after:
            try:
                self.kind.strike()
            except BaseException:
                if hasattr(found, "close"):  # a file that nobody gets to hold
                    found.close()
                raise
        return found


class _File:
    """A file opened for writing whose writes are points; a struck one is half done."""

    def __init__(self, file: Any, points: Points) -> None:
        self._file, self._points = file, points

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()

    def write(self, data: Any) -> Any:
        middle = len(data) // 2
        self._file.write(data[:middle])
        self._file.flush()
        return middle + self._points.passed(self._file.write, data[middle:])

    def flush(self) -> None:
        self._file.flush()

    def fileno(self) -> int:
        return int(self._file.fileno())


@contextmanager
def faulty(points: Points, *, folders_sync: bool = True) -> Iterator[None]:
    """Let everything that is written pass `points`.

    Parameters
    ----------
    points
        Where, and what.
    folders_sync
        Whether folders can be forced to the disk; in some network folders they cannot.
    """

    def watched(name: str, really: Callable[..., Any]) -> Callable[..., Any]:
        def call(*arguments: Any, **more: Any) -> Any:
            if name == "open" and not arguments[1] & WRITING:
                return really(*arguments, **more)
            if name == "fsync" and not folders_sync and _is_folder(arguments[0]):
                raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))
            return points.passed(really, *arguments, **more)

        return call

    opened = Path.open

    def opening(path: Path, mode: str = "r", *arguments: Any, **more: Any) -> Any:
        if "w" not in mode:
            return opened(path, mode, *arguments, **more)
        return _File(points.passed(opened, path, mode, *arguments, **more), points)

    with pytest.MonkeyPatch.context() as patch:
        for name in CALLS:
            patch.setattr(os, name, watched(name, getattr(os, name)))
        patch.setattr(Path, "open", opening)
        yield


def _is_folder(handle: int) -> bool:
    return stat.S_ISDIR(os.fstat(handle).st_mode)


def forked(act: Callable[[], None]) -> int:
    """The exit code of a child that does an act: 0 done, `KILLED` killed there, else it failed."""
    child = os.fork()
    if child == 0:
        try:
            act()
            os._exit(0)
        except BaseException as error:  # noqa: BLE001 - told by the parent
            sys.stderr.write(f"{error!r}\n")
            os._exit(1)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
