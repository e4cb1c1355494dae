"""Case folders for tests: the starter case with one thing changed."""

import errno
import os
from pathlib import Path
from typing import Any

import pytest

from optioneer.errors import CaseError
from optioneer.files.case.read import read_case
from optioneer.files.case.starter import write_starter


def starter(folder: Path) -> Path:
    """A folder with the starter case."""
    write_starter(folder / "case")
    return folder / "case"


def edit(folder: Path, file: str, *changes: tuple[str, str]) -> None:
    """Replace texts in a file; each must be there."""
    path = folder / file
    text = path.read_bytes().decode("utf-8")
    for old, new in changes:
        assert old in text, f"{file} holds no {old!r}"
        text = text.replace(old, new, 1)
    path.write_bytes(text.encode("utf-8"))


def contents(folder: Path) -> dict[str, bytes]:
    """What the files of a folder hold."""
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def refused(folder: Path) -> str:
    """What is said of a case that cannot be read."""
    with pytest.raises(CaseError) as caught:
        read_case(folder)
    return str(caught.value)


def read_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """From now on nothing can be opened for writing, as on a disk that may only be read."""
    opened = os.open

    def reading_only(path: Any, flags: int, *more: Any, **others: Any) -> int:
        if flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
            raise OSError(errno.EROFS, os.strerror(errno.EROFS))
        return opened(path, flags, *more, **others)

    monkeypatch.setattr(os, "open", reading_only)
