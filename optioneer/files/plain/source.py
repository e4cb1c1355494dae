"""One file of a case as text, read with suspicion."""

import os
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn, Self

from optioneer.errors import CaseError, Fault

LARGEST_FILE = 10_000_000
"""Files of a case beyond this are not read [bytes]."""

BYTE_ORDER_MARK = "\N{ZERO WIDTH NO-BREAK SPACE}"
SAVE_AS_UTF8 = "Save it as UTF-8 (in a spreadsheet: 'CSV UTF-8')."


@dataclass(frozen=True)
class Source:
    """The text of one file.

    Parameters
    ----------
    name
        Its name in the case folder.
    text
        All of it, line ends as they are, without a byte order mark.
    marked
        Whether it began with a byte order mark.
    """

    name: str
    text: str
    marked: bool = False

    @classmethod
    def of(cls, name: str, text: str) -> Self:
        """A text that may begin with a byte order mark."""
        return cls(name, text.removeprefix(BYTE_ORDER_MARK), text.startswith(BYTE_ORDER_MARK))

    def marked_like(self, text: str) -> str:
        """Another text, with a byte order mark where this one has one."""
        return BYTE_ORDER_MARK + text if self.marked else text


def refuse(where: str, what: str, allowed: str = "") -> NoReturn:
    """Raise the error of a case with a single fault."""
    raise CaseError([Fault(where, what, allowed)])


def source(folder: Path, name: str, *, at: str = "") -> Source:
    """The text of a file of the case folder.

    Only UTF-8 is taken, with or without a byte order mark: every other encoding could only be
    guessed, and a wrong guess misreads names in silence.

    Parameters
    ----------
    folder
        The case folder.
    at
        The name that it still has while a save is being finished; '' is its own.

    Raises
    ------
    CaseError
        It is missing, no plain file, outside the folder, unreadable, too large or not UTF-8 text.
    """
    data = _content(_plain_file(folder, name, at or name), name)
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        refuse(name, "is saved as UTF-16", SAVE_AS_UTF8)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        byte = data[error.start]
        refuse(f"{name}, line {line}", f"byte 0x{byte:02X} is not UTF-8 text", SAVE_AS_UTF8)
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        refuse(f"{name}, line {line}", "holds a NUL byte, so it is no plain text", SAVE_AS_UTF8)
    return Source.of(name, text)


def file_bytes(path: Path) -> bytes:
    """All of a file that a person names, if it is not too large.

    Raises
    ------
    CaseError
        It is missing, no plain file, unreadable or too large.
    """
    where = str(path)
    if not path.exists():
        refuse(where, "there is no such file")
    if not path.is_file():
        refuse(where, "is no file", "Name a file.")
    return _content(path, where)


def _plain_file(folder: Path, name: str, at: str) -> Path:
    path = folder / at
    try:
        target, root = path.resolve(), folder.resolve()
    except (OSError, RuntimeError):  # a link that leads back to itself
        refuse(name, "is a link that leads nowhere", "Put the file itself into the folder.")
    if not target.is_relative_to(root):
        refuse(name, "is a link out of the case folder", "Put the file itself into the folder.")
    if path.is_symlink() and not target.exists():
        refuse(name, "is a link that leads nowhere", "Put the file itself into the folder.")
    if not target.exists():
        refuse(name, "is missing", f"A case folder holds a file '{name}'.")
    if not target.is_file():
        kind = "folder" if target.is_dir() else "device"
        refuse(name, f"is a {kind}", f"A case folder holds a file '{name}'.")
    return target


def _content(path: Path, name: str) -> bytes:
    try:
        with path.open("rb") as file:
            size = os.fstat(file.fileno()).st_size
            data = file.read(LARGEST_FILE + 1) if size <= LARGEST_FILE else b""
    except OSError as error:
        reason = error.strerror or type(error).__name__
        refuse(name, f"cannot be read ({reason})", "Check who may read the file.")
    if max(size, len(data)) > LARGEST_FILE:
        refuse(name, f"is {size:,} bytes long", f"At most {LARGEST_FILE:,} bytes are read.")
    return data
