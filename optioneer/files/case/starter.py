"""The starter case: a small invented machine, explained line by line."""

from importlib.resources import files
from pathlib import Path

from optioneer.errors import RequestError
from optioneer.files.plain.atomic import write_files_atomically

NAMES = ("machine.toml", "options.csv", "growth.toml", "paying.toml", "site.toml")


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
    try:
        folder.mkdir(parents=True, exist_ok=True)
        there = sorted(path.name for path in folder.iterdir() if not path.name.startswith("."))
    except OSError as error:
        raise RequestError(f"{folder}: cannot be used ({error.strerror}).") from error
    if there:
        held = ", ".join(there[:3]) + (" ..." if there[3:] else "")
        raise RequestError(f"{folder}: is not empty (it holds {held}); name a new folder.")
    write_files_atomically(folder, {name: starter_text(name).encode() for name in NAMES})
