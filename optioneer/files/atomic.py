"""Writing a text file so that it is either wholly the old one or wholly the new one."""

import os
import tempfile
from pathlib import Path

from optioneer.errors import RequestError

PREFIX = ".optioneer-"
"""How the temporary neighbour of a file being written is named."""


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
            _replace(target, data)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise RequestError(f"{path}: cannot be written ({reason}); nothing was changed.") from error


def _replace(target: Path, data: bytes) -> None:
    handle, name = tempfile.mkstemp(prefix=PREFIX, dir=target.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.chmod(_permissions(target))
        temporary.replace(target)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    _force_folder(target.parent)


def _permissions(target: Path) -> int:
    if target.exists():
        return target.stat().st_mode & 0o7777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _force_folder(folder: Path) -> None:
    if os.name == "nt":  # folders cannot be opened there, and need not be forced
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
