"""The starter case: a small invented machine, explained line by line."""

from importlib.resources import files
from pathlib import Path

from optioneer.errors import RequestError
from optioneer.files.plain.lock import locked
from optioneer.files.saving.commit import NAMES, settle, write_files_atomically
from optioneer.files.saving.folder import new_folder

__all__ = ["NAMES", "starter_text", "write_starter"]


def starter_text(name: str) -> str:
    """The text of a file of the starter case.

    Parameters
    ----------
    name
        One of `NAMES`.
    """
    return files("optioneer.files.case").joinpath("starter", name).read_text(encoding="utf-8")


def write_starter(folder: Path) -> None:
    """Write the starter case into a new or empty folder.

    Parameters
    ----------
    folder
        Where to write it; made when it does not exist.

    Raises
    ------
    RequestError
        The folder is not empty, is a file, or cannot be written.
    """
    with new_folder(folder), locked(folder):
        settle(folder)
        try:
            there = sorted(path.name for path in folder.iterdir() if path.name[0] != ".")
        except OSError as error:
            raise RequestError(f"{folder}: cannot be used ({error.strerror}).") from error
        if there:
            held = ", ".join(there[:3]) + (" ..." if there[3:] else "")
            raise RequestError(f"{folder}: is not empty (it holds {held}); name a new folder.")
        write_files_atomically(folder, {name: starter_text(name).encode() for name in NAMES})
