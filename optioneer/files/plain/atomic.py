"""Writing files so that each is either wholly the old one or wholly the new one."""

import json
import os
import tempfile
import time
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

from optioneer.errors import RequestError

PREFIX = ".optioneer-"
"""How the temporary neighbour of a file being written is named."""

MARK = f"{PREFIX}commit"
"""A list of renames that are still to be done: once it stands, the new state counts."""

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


def write_files_atomically(
    folder: Path, contents: Mapping[str, bytes], *, aside: Collection[str] = ()
) -> None:
    """Replace several files of a folder, all of them or none.

    All of them are on the disk under temporary names, then a list of what is to be renamed takes
    its place: before it the old files count, after it the new ones. A process that is killed in the
    middle of the renames leaves the list; `settle` finishes what is on it.

    Parameters
    ----------
    folder
        Where to write; it exists.
    contents
        The new content by file name.
    aside
        Names of files that are renamed to end in ``.old`` in the same step.

    Raises
    ------
    RequestError
        A file cannot be written; nothing was changed, or all of it is once the folder is read
        again.
    """
    settle(folder)
    try:
        _sweep(folder)
        _replace_together(folder, contents, aside)
    except OSError as error:
        name = Path(error.filename2 or "").name
        where = name if name in contents else ", ".join([*contents, *aside])
        raise RequestError(f"{folder}: {where} {_reason(error)}; the old text is whole.") from error


def settle(folder: Path) -> None:
    """Finish the renames that a killed process has left in a folder; without any do nothing.

    Raises
    ------
    RequestError
        The folder cannot be written to, or the list is none of ours.
    """
    mark = folder / MARK
    try:
        if mark.is_symlink() or not mark.is_file():
            return
        _finish(folder, _listed(mark))
    except OSError as error:
        raise _cut_short(folder, error) from error


def _finish(folder: Path, renames: Sequence[tuple[str, str]]) -> None:
    for old, new in renames:
        _renamed(folder / old, folder / new)
    _force_folder(folder)
    (folder / MARK).unlink(missing_ok=True)


def _cut_short(folder: Path, error: OSError) -> RequestError:
    return RequestError(
        f"{folder}: a save was cut short and cannot be finished now ({error.strerror}); let the "
        "folder be written to, then read it again."
    )


def _listed(mark: Path) -> Sequence[tuple[str, str]]:
    try:
        pairs = [(str(old), str(new)) for old, new in json.loads(mark.read_text("utf-8"))]
    except (ValueError, TypeError) as error:
        raise RequestError(f"{mark}: is no list of ours; take it away.") from error
    if any(name != Path(name).name or not name for pair in pairs for name in pair):
        raise RequestError(f"{mark}: names files outside the folder; take it away.")
    return pairs


def _renamed(old: Path, new: Path) -> None:
    try:
        old.replace(new)
    except FileNotFoundError:
        return  # done already


def _replace_together(folder: Path, contents: Mapping[str, bytes], aside: Collection[str]) -> None:
    targets = {(folder / name).resolve(): data for name, data in contents.items()}
    here = folder.resolve()
    together = len(targets) + len(aside) > 1 and all(path.parent == here for path in targets)
    if not together:
        _replace(targets)
        for name in aside:
            _renamed(folder / name, folder / f"{name}.old")
        return
    staged = _staged(targets)
    renames = [(temporary.name, target.name) for target, temporary in staged.items()]
    renames += [(name, f"{name}.old") for name in aside]
    try:
        _replace({here / MARK: json.dumps(renames).encode()})
    except BaseException:
        _thrown_away(staged)
        raise
    try:
        _finish(here, renames)
    except OSError as error:
        raise _cut_short(folder, error) from error


def _reason(error: OSError) -> str:
    return f"cannot be written ({error.strerror or type(error).__name__})"


def _replace(contents: Mapping[Path, bytes]) -> None:
    staged = _staged(contents)
    try:
        for target, temporary in staged.items():
            temporary.replace(target)
    except BaseException:
        _thrown_away(staged)
        raise
    for folder in {target.parent for target in contents}:
        _force_folder(folder)


def _staged(contents: Mapping[Path, bytes]) -> dict[Path, Path]:
    """The contents on the disk under temporary names, by target."""
    staged: dict[Path, Path] = {}
    try:
        for target, data in contents.items():
            staged[target] = _temporary(target)
            _fill(staged[target], data, permissions=_permissions(target))
    except BaseException:
        _thrown_away(staged)
        raise
    return staged


def _thrown_away(staged: Mapping[Path, Path]) -> None:
    for temporary in staged.values():
        temporary.unlink(missing_ok=True)


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
        if path.name != MARK and time.time() - path.stat().st_mtime > FORGOTTEN:
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
