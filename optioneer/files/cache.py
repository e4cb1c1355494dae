"""What has been worked out, kept in a folder for the next command: safe to delete at any time.

Every file begins with the digest of the rest of it, so that a damaged one is worked out again and
never believed. Files are written beside their place and take it in one step, so that several
processes may share the folder.
"""

import hashlib
import json
import math
import os
import platform
import sys
from collections.abc import Iterator, Mapping
from contextlib import suppress
from functools import cache
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any

import numpy as np
from numpy.typing import NDArray

import optioneer
from optioneer.valuation.cache.memory import MEMORY, Arrays

MOST_BYTES = 2**29
"""Disk that is used at most; what was asked for least lately makes room [bytes]."""

VARIABLE, OFF = "OPTIONEER_CACHE", "off"
"""Environment variable that names the folder, and its value for none at all."""

DIGEST = 32
"""Length of the digest at the start of a file [bytes]."""

LENGTH, ALIGNED = 8, 64
"""Bytes that say how long the list of arrays is; each array begins at a multiple of so many."""

ENDING = ".kept"

SHARED = 4
"""Processes that may fill the room that one has seen before it looks again."""


class Folder:
    """A folder of arrays by name.

    Parameters
    ----------
    path
        The folder; made when something is put there.
    most
        Bytes that its files may take; what other processes put there meanwhile comes on top.
    """

    def __init__(self, path: Path, most: int = MOST_BYTES) -> None:
        self.path, self.most = path, most
        self._room = 0

    def get(self, name: str) -> Arrays | None:
        """What was put there under a name; none where it is not, or not whole."""
        file = self._file(name)
        try:
            data = file.read_bytes()
        except OSError:
            return None
        if hashlib.blake2b(data[DIGEST:], digest_size=DIGEST).digest() != data[:DIGEST]:
            with suppress(OSError):
                file.unlink()
            return None
        with suppress(OSError):
            os.utime(file)  # asked for just now
        return _arrays_in(data)

    def put(self, name: str, arrays: Arrays) -> None:
        """Keep some arrays, if the disk takes them: no answer hangs on it."""
        with suppress(OSError):
            self.path.mkdir(parents=True, exist_ok=True, mode=0o700)
            self._room -= self._write(self._file(name), arrays)
            if self._room < 0:
                self._make_room()

    def _write(self, file: Path, arrays: Arrays) -> int:
        """Write some arrays, and say how many bytes they take."""
        digest = hashlib.blake2b(digest_size=DIGEST)
        with NamedTemporaryFile(dir=self.path, prefix=".", suffix=".part", delete=False) as part:
            try:
                part.write(bytes(DIGEST))
                for piece in _pieces(arrays):
                    digest.update(piece)
                    part.write(piece)
                size = part.tell()
                part.seek(0)
                part.write(digest.digest())
                part.close()
                Path(part.name).replace(file)
            except BaseException:
                Path(part.name).unlink(missing_ok=True)
                raise
        return size

    def _file(self, name: str) -> Path:
        return self.path / f"{name}{ENDING}"

    def _make_room(self) -> None:
        """Delete what was asked for least lately until the rest fits.

        The folder is gone through again when a part of what is left then has been put there: other
        processes may put theirs beside it.
        """
        found = sorted(self._files(), key=lambda each: -each[0])
        total = 0
        for _, size, file in found:
            total += size
            if total > self.most:
                with suppress(OSError):
                    file.unlink()
        self._room = max(self.most - total, 0) // SHARED

    def _files(self) -> Iterator[tuple[float, int, Path]]:
        """When each file was asked for last, its size and its place; other processes' too."""
        for file in self.path.iterdir():
            with suppress(OSError):
                told = file.stat()
                yield told.st_mtime, told.st_size, file


def _pieces(arrays: Arrays) -> Iterator[bytes | memoryview]:
    """What follows the digest: a list of the arrays, then what is in each, as it lies in memory."""
    listed = {
        name: (array.dtype.str, array.shape, bool(array.flags.fnc))
        for name, array in arrays.items()
    }
    head = json.dumps(listed).encode()
    head += b" " * (-(DIGEST + LENGTH + len(head)) % ALIGNED)
    yield len(head).to_bytes(LENGTH, "little")
    yield head
    for array in arrays.values():
        flat = np.ascontiguousarray(array.T if array.flags.fnc else array).reshape(-1)
        yield flat.view(np.uint8).data
        yield bytes(-flat.nbytes % ALIGNED)


def _arrays_in(data: bytes) -> dict[str, NDArray[Any]]:
    """The arrays of a whole file, none of them copied."""
    start = DIGEST + LENGTH
    place = start + int.from_bytes(data[DIGEST:start], "little")
    found: dict[str, NDArray[Any]] = {}
    for name, (kind, shape, by_columns) in json.loads(data[start:place]).items():
        flat = np.frombuffer(data, kind, math.prod(shape), place)
        found[name] = flat.reshape(shape[::-1]).T if by_columns else flat.reshape(shape)
        place += flat.nbytes + -flat.nbytes % ALIGNED
    return found


def keep_between_commands(environment: Mapping[str, str]) -> None:
    """Keep what this process works out for the next one, unless the user wants it otherwise."""
    folder = kept_folder(environment)
    MEMORY.beyond = None if folder is None else Folder(folder / engine_mark())


def kept_folder(environment: Mapping[str, str]) -> Path | None:
    """Where to keep what was worked out; none where the user wants nothing kept.

    Parameters
    ----------
    environment
        Of the process: `OPTIONEER_CACHE` names a folder, or is `off`; without it the folder for
        such things of the user.
    """
    asked = environment.get(VARIABLE, "")
    if asked:
        return None if asked.lower() == OFF else Path(asked)
    if sys.platform == "win32":
        place = environment.get("LOCALAPPDATA")
        return Path(place, "optioneer", "kept") if place else None
    home = environment.get("HOME")
    usual = "Library/Caches" if sys.platform == "darwin" else ".cache"
    place = environment.get("XDG_CACHE_HOME") or (f"{home}/{usual}" if home else None)
    return Path(place, "optioneer") if place and Path(place).is_absolute() else None


@cache
def engine_mark() -> str:
    """What the sums and files are: version, their texts, the libraries and the machine."""
    found = hashlib.blake2b(digest_size=8)
    found.update(f"{optioneer.__version__} {np.__version__} {platform.machine()}".encode())
    sums = (Path(optioneer.__file__).parent / "valuation").rglob("*.py")
    for file in (Path(__file__), *sorted(sums)):
        found.update(file.read_bytes())
    return found.hexdigest()
