"""Writing files so that each is either wholly the old one or wholly the new one."""

import os
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path

from optioneer.errors import RequestError

PREFIX = ".optioneer-"
"""How the temporary neighbour of a file being written is named."""

FORGOTTEN = 3600.0
"""A temporary file this old was left by a process that died [s]."""


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
        The file cannot be written; what was there is unchanged.
    """
    data = text.encode("utf-8")
    target = path.resolve()
    try:
        if target.exists() and not target.is_file():
            target.write_bytes(data)
        else:
            _replace({target: data})
    except OSError as error:
        raise RequestError(f"{path}: {_reason(error)}; nothing was changed.") from error


def write_files_atomically(folder: Path, contents: Mapping[str, bytes]) -> None:
    """Replace several files of a folder, each in one step.

    All of them are on the disk under temporary names before the first takes its own, so that a full
    disk changes none; a crash between two leaves each of them whole, old or new.

    Parameters
    ----------
    folder
        Where to write; it exists.
    contents
        The new content by file name.

    Raises
    ------
    RequestError
        A file cannot be written; it and those that were still to come are unchanged.
    """
    try:
        _sweep(folder)
        _replace({(folder / name).resolve(): data for name, data in contents.items()})
    except OSError as error:
        name = Path(error.filename2 or "").name
        where = name if name in contents else ", ".join(contents)
        raise RequestError(f"{folder}: {where} {_reason(error)}; the old text is whole.") from error


def _reason(error: OSError) -> str:
    return f"cannot be written ({error.strerror or type(error).__name__})"


def _replace(contents: Mapping[Path, bytes]) -> None:
    staged: dict[Path, Path] = {}
    try:
        for target, data in contents.items():
            staged[target] = _temporary(target)
            _fill(staged[target], data, permissions=_permissions(target))
        for target, temporary in staged.items():
            temporary.replace(target)
    except BaseException:
        for temporary in staged.values():
            temporary.unlink(missing_ok=True)
        raise
    for folder in {target.parent for target in contents}:
        _force_folder(folder)


def _temporary(target: Path) -> Path:
    handle, name = tempfile.mkstemp(prefix=PREFIX, dir=target.parent)
    os.close(handle)
    return Path(name)


def _fill(path: Path, data: bytes, *, permissions: int) -> None:
    with path.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    path.chmod(permissions)


def _sweep(folder: Path) -> None:
    """Take away what a process that died in the middle has left."""
    for path in folder.glob(f"{PREFIX}*"):
        if time.time() - path.stat().st_mtime > FORGOTTEN:
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


def _force_folder(folder: Path) -> None:
    if os.name == "nt":  # folders cannot be opened there, and need not be forced
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
