"""A case folder as it was at one moment, also while somebody saves into it."""

import difflib
import os
import time
from collections.abc import Mapping
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from pathlib import Path
from stat import S_ISREG

from optioneer.errors import CaseError, RequestError
from optioneer.files.plain.atomic import MARK
from optioneer.files.plain.lock import PATIENCE, locked
from optioneer.files.plain.numerals import excerpt
from optioneer.files.plain.source import Source, refuse, source
from optioneer.files.saving.commit import NAMES, hidden, settle

FREE_READINGS = 20
"""So often a folder is read anew because it changed meanwhile; then writers are kept out."""

Marks = tuple[tuple[int, ...], ...]
"""What tells each file from the one that takes its name, in the order of `NAMES`."""


@dataclass(frozen=True)
class FolderState:
    """What a folder held at one moment.

    Parameters
    ----------
    names
        Of everything in it, sorted.
    found
        By name of each file of a case that is there its text, or why it cannot be read.
    """

    names: tuple[str, ...]
    found: Mapping[str, Source | CaseError]

    def text_of(self, name: str) -> Source:
        """The text of a file of a case.

        Raises
        ------
        CaseError
            It is missing or cannot be read.
        """
        if name not in self.found:
            refuse(name, "is missing", f"A case folder holds a file '{name}'.")
        found = self.found[name]
        if isinstance(found, CaseError):
            raise found
        return found

    @property
    def texts(self) -> dict[str, str]:
        """The texts by name, with their byte order marks.

        Raises
        ------
        CaseError
            One cannot be read; the faults of all together.
        """
        faults = [each.faults for each in self.found.values() if isinstance(each, CaseError)]
        if faults:
            raise CaseError([fault for those in faults for fault in those])
        read = {name: self.text_of(name) for name in self.found}
        return {name: one.marked_like(one.text) for name, one in read.items()}


def folder_state(folder: Path) -> FolderState:
    """What a folder holds, of one moment: a save that others do meanwhile is in it whole or not.

    A save that was cut short is finished first. In a folder that this process may not write to,
    its new texts are read where they stand.

    Parameters
    ----------
    folder
        Of a case.

    Raises
    ------
    CaseError
        There is no such folder, or it cannot be read.
    RequestError
        A list of renames stands in it that its files do not bear out, or it changes all the time.
    """
    end = time.monotonic() + PATIENCE
    for _ in range(FREE_READINGS):
        if (found := _state_now(folder)) is not None:
            return found
        time.sleep(0.001)
    with suppress(RequestError), locked(folder):
        if (found := _state_now(folder)) is not None:
            return found
    while time.monotonic() < end:  # a folder that cannot be locked from here
        if (found := _state_now(folder)) is not None:
            return found
        time.sleep(0.01)
    raise RequestError(f"{folder}: others write to it all the time; try again.")


def _state_now(folder: Path) -> FolderState | None:
    """What the folder holds; none when somebody changed it meanwhile."""
    settled = _no_renames_left(folder)
    found, wrong = None, None
    with ExitStack() as pins:
        before = tuple(_mark(folder / name, pins) for name in (*NAMES, MARK))
        if settled and before[-1]:
            return None  # somebody has just begun to put files in place
        try:
            found = _sources_in(folder, {} if settled else hidden(folder))
        except (RequestError, FileNotFoundError) as error:
            wrong = error  # of what stands there, or of what was just being changed
        after = tuple(_mark(folder / name) for name in (*NAMES, MARK))
    if before == after and wrong is not None:
        raise wrong
    return found if before == after else None


def _no_renames_left(folder: Path) -> bool:
    """Whether no list of renames is left."""
    try:
        settle(folder)
    except (RequestError, OSError):
        return False
    return True


def _mark(path: Path, pins: ExitStack | None = None) -> tuple[int, ...]:
    """What tells a file from every other; kept open, so that its number is not given anew."""
    try:
        stat = path.stat()
        if pins is not None and S_ISREG(stat.st_mode) and os.name != "nt":
            handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
            pins.callback(os.close, handle)
            stat = os.fstat(handle)
    except (OSError, ValueError):
        return ()
    return stat.st_dev, stat.st_ino, stat.st_size, stat.st_mtime_ns


def _sources_in(folder: Path, elsewhere: Mapping[str, str | None]) -> FolderState:
    names = {*_names(folder), *elsewhere} - {n for n, at in elsewhere.items() if at is None}
    found: dict[str, Source | CaseError] = {}
    for name in NAMES:
        if name in names:
            try:
                found[name] = source(folder, name, at=elsewhere.get(name) or name)
            except CaseError as error:
                found[name] = error
    return FolderState(tuple(sorted(names)), found)


def _names(folder: Path) -> list[str]:
    where = excerpt(str(folder), 4096)
    try:
        return [path.name for path in folder.iterdir()]
    except FileNotFoundError:
        refuse(where, "there is no such folder", _neighbour(folder))
    except NotADirectoryError:
        refuse(where, "is a file, not a case folder", "Give the folder that holds machine.toml.")
    except (OSError, ValueError) as error:
        refuse(where, f"the folder cannot be read ({error})", "Check who may read it.")


def _neighbour(folder: Path) -> str:
    """The folder beside it that has nearly its name."""
    try:
        beside = [path.name for path in folder.parent.iterdir() if path.is_dir()]
    except OSError:
        return ""
    near = difflib.get_close_matches(folder.name, beside, n=1)
    return f"Did you mean '{excerpt(near[0])}'?" if near else ""
