"""One lock a folder: of several processes and threads only one at a time writes there.

The lock is held on a small file in the folder, which goes when it is given back; the system gives
it back for a process that dies. File systems without locks, as some network folders are, get by
with a file that only one can create.
"""

import errno
import os
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from weakref import WeakValueDictionary

from optioneer.errors import RequestError

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

ENDING = "-lock"
"""How the names of files end that something is locked by."""

NAME = f".optioneer{ENDING}"
"""The file that a folder is locked by."""

PATIENCE = 10.0
"""How long one waits for the others [s]."""

PAUSE = 0.004
"""How long one waits before one tries again [s]."""

STALE = 60.0
"""Where a file that only one can create is the lock: so old, it was left by a dead process [s]."""

WITHOUT_LOCKS = {errno.ENOLCK, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EINVAL}
"""What a file system says that has no locks."""


class _Turn:
    """Whose turn it is among the threads of this process."""

    def __init__(self) -> None:
        self.lock = threading.RLock()
        self.depth = 0


_turns: WeakValueDictionary[Path, _Turn] = WeakValueDictionary()
_turns_change = threading.Lock()


@contextmanager
def locked(folder: Path, *, name: str = NAME) -> Iterator[None]:
    """Hold the lock of a folder while the block runs; who holds it already goes on holding it.

    Parameters
    ----------
    folder
        It exists.
    name
        The file in it that stands for what is locked.

    Raises
    ------
    RequestError
        Others hold it for too long, or no file can be made in the folder.
    """
    path = folder.resolve() / name
    with _turns_change:
        turn = _turns.setdefault(path, _Turn())
    if not turn.lock.acquire(timeout=PATIENCE):
        raise _busy(folder)
    try:
        with _nothing() if turn.depth else _lock_at(path, folder):
            turn.depth += 1
            try:
                yield
            finally:
                turn.depth -= 1
    finally:
        turn.lock.release()


@contextmanager
def _nothing() -> Iterator[None]:
    yield


@contextmanager
def _lock_at(path: Path, folder: Path) -> Iterator[None]:
    try:
        give_back = _release_once_free(path)
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise RequestError(
            f"{folder}: cannot be written to ({why}); nothing was changed."
        ) from error
    if give_back is None:
        raise _busy(folder)
    try:
        yield
    finally:
        give_back()


def _busy(folder: Path) -> RequestError:
    return RequestError(
        f"{folder}: another process is writing there; nothing was changed. Try again."
    )


def _release_once_free(path: Path) -> Callable[[], None] | None:
    """What gives the lock back; none when it could not be had in time."""
    end = time.monotonic() + PATIENCE
    while True:
        try:
            found = _release_now(path)
        except OSError as error:
            if error.errno not in WITHOUT_LOCKS:
                raise
            found = _release_of_file(path.with_name(f"{path.name}-held"))
        if found is not None or time.monotonic() > end:
            return found
        time.sleep(PAUSE)


def _release_now(path: Path) -> Callable[[], None] | None:
    """What gives the lock back, if nobody holds it."""
    flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_NOFOLLOW", 0)
    handle = os.open(path, flags, 0o666)
    had = False
    try:
        had = _locks(handle) and _still_there(handle, path)
    finally:
        if not had:
            os.close(handle)
    return (lambda: _given_back(handle, path)) if had else None


def sweep_locks(folder: Path, *, older: float) -> None:
    """Take away the files of locks that processes left which died so long ago [s]."""
    for path in folder.glob(f".optioneer*{ENDING}"):
        with suppress(OSError):
            if time.time() - path.lstat().st_mtime > older and (give_back := _release_now(path)):
                give_back()


def _locks(handle: int) -> bool:
    try:
        if sys.platform == "win32":
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    return True


def _still_there(handle: int, path: Path) -> bool:
    """Whether the file that was locked is not one that its holder has just taken away."""
    with suppress(FileNotFoundError):
        held, named = os.fstat(handle), path.stat()
        if (held.st_dev, held.st_ino) == (named.st_dev, named.st_ino):
            with suppress(OSError):  # another user has to be able to lock what is left of a crash
                path.chmod(0o666)
            return True
    return False


def _given_back(handle: int, path: Path) -> None:
    """Take the file away while it is locked, so that who waits for it sees that it is gone."""
    try:
        if sys.platform != "win32":
            with suppress(OSError):
                path.unlink()
    finally:
        os.close(handle)
    if sys.platform == "win32":  # an open file cannot be taken away there
        with suppress(OSError):
            path.unlink()


def _release_of_file(path: Path) -> Callable[[], None] | None:
    """The same with a file that only one can create."""
    try:
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
    except FileExistsError:
        with suppress(OSError):
            if time.time() - path.stat().st_mtime > STALE:
                path.unlink()
        return None
    return lambda: path.unlink(missing_ok=True)
