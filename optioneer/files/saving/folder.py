"""A folder made for what is to be written into it, and taken back when nothing could be."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from optioneer.errors import RequestError


@contextmanager
def new_folder(folder: Path, *, mode: int = 0o777) -> Iterator[None]:
    """Make a folder, and those above it; take away what was made, if it stays empty.

    Parameters
    ----------
    folder
        What is there already stays.
    mode
        Who may use it, the mask of the process taken off.

    Raises
    ------
    RequestError
        It cannot be made.
    """
    new = [each for each in (folder, *folder.parents) if not each.exists()]
    try:
        folder.mkdir(mode, parents=True, exist_ok=True)
    except OSError as error:
        raise RequestError(f"{folder}: cannot be made ({error.strerror}).") from error
    try:
        yield
    finally:
        for each in new:
            with suppress(OSError):  # holds something
                each.rmdir()
