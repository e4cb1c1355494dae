"""Writing files so that each is either wholly the old one or wholly the new one."""

import errno
import os
import shutil
import tempfile
import time
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from optioneer.errors import RequestError
from optioneer.files.plain.lock import ENDING, sweep_locks

PREFIX = ".optioneer-"
"""How the temporary neighbour of a file being written is named."""

MARK = f"{PREFIX}commit"
"""A list of renames that are still to be done: once it stands, the new state counts."""

FORGOTTEN = 3600.0
"""A temporary file this old was left by a process that died [s]."""

NEVER_FORCED = {
    errno.EINVAL,
    errno.ENOTSUP,
    errno.EOPNOTSUPP,
    errno.ENOSYS,
    errno.EBADF,
    errno.EACCES,
    errno.EPERM,
}
"""What is said where folders cannot be forced to the disk at all, as in some network folders."""


def write_text_atomically(path: Path, text: str) -> None:
    """Replace the content of a file in one step, as UTF-8 with line feeds.

    The text goes to a temporary file beside the target, is forced to the disk and then takes the
    target's name; a crash or a full disk at any moment leaves the old content whole. A link is
    followed; permissions are kept. What is no regular file (a pipe, a device) is written straight.

    Parameters
    ----------
    path
        Where to write; its folder exists.
    text
        All of the new content.

    Raises
    ------
    RequestError
        The file cannot be written, and what was there is unchanged; or it is written and the disk
        does not confirm that it keeps it.
    """
    data = text.encode("utf-8")
    target = path.resolve()
    try:
        if target.exists() and not target.is_file():
            target.write_bytes(data)
        else:
            replace({target: data})
    except OSError as error:
        raise RequestError(f"{path}: {reason(error)}; nothing was changed.") from error


def reason(error: OSError) -> str:
    """Why a file cannot be written."""
    return f"cannot be written ({error.strerror or type(error).__name__})"


def replace(contents: Mapping[Path, bytes]) -> None:
    """Replace files one after the other, each in one step.

    Raises
    ------
    OSError
        One cannot be written; it and those behind it are as they were.
    RequestError
        All are written, and the disk does not confirm that it keeps them.
    """
    staged = stage(contents)
    try:
        for target, temporary in staged.items():
            renamed(temporary, target)
    except BaseException:
        throw_away(staged)
        raise
    for folder in {target.parent for target in contents}:
        force_folder(folder)


def stage(contents: Mapping[Path, bytes]) -> dict[Path, Path]:
    """Put contents on the disk under temporary names, which are returned by target.

    Raises
    ------
    OSError
        The disk refuses; nothing is left behind.
    """
    staged: dict[Path, Path] = {}
    try:
        for target, data in contents.items():
            handle, name = tempfile.mkstemp(prefix=PREFIX, dir=target.parent)
            staged[target] = Path(name)
            os.close(handle)
            _fill(staged[target], data, permissions=_permissions(target))
    except BaseException:
        throw_away(staged)
        raise
    return staged


def throw_away(staged: Mapping[Path, Path]) -> None:
    """Take temporary files away; one that cannot be is swept later."""
    for temporary in staged.values():
        with suppress(OSError):
            temporary.unlink(missing_ok=True)


def renamed(old: Path, new: Path) -> None:
    """Give a file its name, in place of what has it.

    Where a file that somebody reads cannot be replaced, the reader is waited for. An error of a
    rename that was done all the same, as network folders tell them, is none.
    """
    end = time.monotonic() + (1.0 if os.name == "nt" else 0.0)
    while True:
        try:
            old.replace(new)
        except OSError as error:
            if not os.path.lexists(old) and os.path.lexists(new):
                return
            if not isinstance(error, PermissionError) or time.monotonic() >= end:
                raise
            time.sleep(0.01)
        else:
            return


def _fill(path: Path, data: bytes, *, permissions: int) -> None:
    with path.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    with suppress(PermissionError):  # disks without permissions
        path.chmod(permissions)


def sweep(folder: Path) -> None:
    """Take away what a process that died in the middle has left; what cannot be taken stays."""
    if os.path.lexists(folder / MARK):
        return  # what a list names is still wanted
    sweep_locks(folder, older=FORGOTTEN)
    for path in folder.glob(f"{PREFIX}*"):
        with suppress(OSError):
            if path.name.endswith(ENDING):
                continue  # who waits for it would not see that it is gone
            if time.time() - path.lstat().st_mtime > FORGOTTEN:
                _take_away(path)


def _take_away(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)
    else:
        path.unlink(missing_ok=True)


def _permissions(target: Path) -> int:
    if target.exists():
        return target.stat().st_mode & 0o7777
    return 0o666 & ~current_mask()


def current_mask() -> int:
    """The permissions that new files of this process do not get."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def force_folder(folder: Path) -> None:
    """Have the disk confirm the names in a folder, where it can.

    Raises
    ------
    RequestError
        The disk fails at it. The names are in place, but may be lost with the power.
    """
    if os.name == "nt":  # folders cannot be opened there, and need not be forced
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
    except OSError as error:
        if error.errno not in NEVER_FORCED:
            raise RequestError(
                f"{folder}: what was written is in place, but the disk does not confirm that it "
                f"keeps it ({error.strerror}). Look after the disk, and save once more."
            ) from error
