"""Several files of a case replaced together: all of them or none, whatever happens in between.

The new files are on the disk under temporary names, then a list of what is to be renamed takes its
place. Before it the old files count, after it the new ones, and the only way is forward: whoever
comes next finishes what is on it. A list is believed only as far as the files bear it out: it
tells what each file held before and is to hold.
"""

import hashlib
import json
import os
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from optioneer.errors import RequestError
from optioneer.files.plain.atomic import (
    MARK,
    PREFIX,
    force_folder,
    reason,
    renamed,
    replace,
    stage,
    sweep,
    throw_away,
)
from optioneer.files.plain.lock import locked
from optioneer.files.saving.interrupts import uninterrupted

NAMES = ("machine.toml", "options.csv", "growth.toml", "paying.toml", "site.toml", "sources.csv")
"""The files of a case: no others are replaced together."""

ASIDE = ".old"
"""How the name of a file ends that was set aside."""

_STAGED = re.compile(re.escape(PREFIX) + "[a-z0-9_]{8}")
_TARGETS = {*NAMES, *(f"{name}{ASIDE}" for name in NAMES)}


class Renaming(NamedTuple):
    """One rename of a list.

    Parameters
    ----------
    source, target
        Names in the folder.
    new
        Hash of what is renamed.
    old
        Hash of what the target held before; none: it was not there.
    """

    source: str
    target: str
    new: str
    old: str | None


def write_files_atomically(
    folder: Path, contents: Mapping[str, bytes], *, aside: Collection[str] = ()
) -> None:
    """Replace a file of a folder, or several files of a case, all of them or none.

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
        A file cannot be written, and nothing was changed; or the new files count, but cannot all
        be put in place yet, or the disk does not confirm that it keeps them.
    """
    try:
        if len(contents) + len(aside) == 1 and not aside:
            sweep(folder)
            replace({(folder / name).resolve(): data for name, data in contents.items()})
        else:
            _replace_together(folder, contents, aside)
    except OSError as error:
        name = Path(error.filename2 or "").name
        where = name if name in contents else ", ".join([*contents, *aside])
        raise RequestError(f"{folder}: {where} {reason(error)}; the old text is whole.") from error


def _replace_together(folder: Path, contents: Mapping[str, bytes], aside: Collection[str]) -> None:
    with locked(folder):
        settle(folder)
        sweep(folder)
        here = folder.resolve()
        targets = {name: (here / name).resolve() for name in contents}
        staged = stage({targets[name]: data for name, data in contents.items()})
        steps = [
            Renaming(staged[targets[name]].name, name, _hash(data), _hash_of(targets[name]))
            for name, data in contents.items()
        ]
        steps += [_set_aside(here, name) for name in aside]
        try:
            _refuse_strange(
                here,
                steps,
                f"{folder}: {{}} is no file of a case that stands in the folder itself; several "
                "files are replaced together only with such ones. Nothing was changed.",
            )
            _commit(here, steps)
        except BaseException:
            if not os.path.lexists(here / MARK):
                throw_away(staged)
            raise


def _set_aside(folder: Path, name: str) -> Renaming:
    found = _hash_of(folder / name)
    if found is None:
        raise FileNotFoundError(2, "it is not there", str(folder / name))
    return Renaming(name, f"{name}{ASIDE}", found, _hash_of(folder / f"{name}{ASIDE}"))


def _commit(folder: Path, steps: Sequence[Renaming]) -> None:
    """Put the list up and do what is on it; once it stands, a fault is no way back."""
    data = json.dumps({"renames": steps}).encode()
    try:
        with uninterrupted():
            replace({folder / MARK: data})
            _finish(folder, steps)
    except BaseException as error:
        if not os.path.lexists(folder / MARK):
            if _pending(folder, steps):
                raise  # it never stood
        else:
            _forward(folder, steps)
        if not isinstance(error, OSError | RequestError):
            raise


def _forward(folder: Path, steps: Sequence[Renaming]) -> None:
    try:
        with uninterrupted():
            _finish(folder, steps)
    except OSError as error:
        raise _cut_short(folder, error) from error


def settle(folder: Path) -> None:
    """Finish the renames that a process has left in a folder; without any do nothing.

    Raises
    ------
    RequestError
        The folder cannot be written to, or its files do not bear the list out.
    """
    if not os.path.lexists(folder / MARK):
        return
    with locked(folder):
        steps = standing(folder)
        if steps:
            _forward(folder, steps)


def standing(folder: Path) -> tuple[Renaming, ...]:
    """What is on the list that stands in a folder, proven by what its files hold.

    Raises
    ------
    RequestError
        It is no list of ours, names other files than those of a case, or the files do not bear it
        out.
    """
    mark = folder / MARK
    if not os.path.lexists(mark):
        return ()
    steps = _renames_in(mark)
    _refuse_strange(
        folder,
        steps,
        f"{mark}: wants to replace {{}}, which is no file of the case in this folder. Nothing was "
        "renamed; take the list away.",
    )
    for step in steps:
        if not _borne_out(folder, step):
            raise RequestError(
                f"{mark}: a save that was cut short wanted to put '{step.target}' in place, but "
                "the files are not as that save left them. Nothing was renamed. Look at the files, "
                "then take the list away."
            )
    return steps


def hidden(folder: Path) -> dict[str, str | None]:
    """Where the texts of a folder stand whose list cannot be finished now, by file name.

    Returns
    -------
    dict
        The name that the new text still has; none for a file that is set aside.

    Raises
    ------
    RequestError
        As of `standing`.
    """
    pending = _pending(folder, standing(folder))
    gone: dict[str, str | None] = {step.source: None for step in pending if step.source in NAMES}
    return gone | {step.target: step.source for step in pending if step.target in NAMES}


def _pending(folder: Path, steps: Sequence[Renaming]) -> list[Renaming]:
    return [step for step in steps if os.path.lexists(folder / step.source)]


def _borne_out(folder: Path, step: Renaming) -> bool:
    """Whether a step is still to be done or was done, by what the files hold."""
    source, target = _hash_of(folder / step.source), _hash_of(_target(folder, step))
    if source is None:
        return target == step.new
    return source == step.new and target in {step.old, step.new}


def _finish(folder: Path, steps: Sequence[Renaming]) -> None:
    for step in _pending(folder, steps):
        renamed(folder / step.source, _target(folder, step))
    force_folder(folder)
    (folder / MARK).unlink(missing_ok=True)


def _target(folder: Path, step: Renaming) -> Path:
    """The file that takes the new text: behind a link, what the link names."""
    return (folder / step.target).resolve() if step.source not in NAMES else folder / step.target


def _refuse_strange(folder: Path, steps: Sequence[Renaming], sentence: str) -> None:
    strange = next(_strange(folder, steps), None)
    if strange is not None:
        raise RequestError(sentence.format(f"'{strange}'"))


def _strange(folder: Path, steps: Sequence[Renaming]) -> Iterator[str]:
    """What is to be replaced and is no file of a case, or stands elsewhere."""
    here = folder.resolve()
    for step in steps:
        if step.source in NAMES:
            fits = step.target == f"{step.source}{ASIDE}"
        else:
            fits = bool(_STAGED.fullmatch(step.source)) and step.target in _TARGETS
        if not fits or (folder / step.source).is_symlink():
            yield step.target
            continue
        target = _target(folder, step)
        if target.parent.resolve() != here or target.suffix != Path(step.target).suffix:
            yield step.target


def _renames_in(mark: Path) -> tuple[Renaming, ...]:
    try:
        text = "" if mark.is_symlink() or not mark.is_file() else mark.read_text("utf-8")
        found = tuple(Renaming(*step) for step in json.loads(text)["renames"])
        ours = all(isinstance(part, str) for step in found for part in step[:3])
    except (ValueError, TypeError, KeyError):
        ours = False
    if not ours:
        raise RequestError(f"{mark}: is no list of ours; take it away.")
    return found


def _hash(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _hash_of(path: Path) -> str | None:
    """Hash of a file; none where there is none."""
    if not os.path.lexists(path):
        return None
    return _hash(path.read_bytes()) if path.is_file() else ""


def _cut_short(folder: Path, error: OSError) -> RequestError:
    return RequestError(
        f"{folder}: the new files count, but cannot all be put in place now ({error.strerror}); "
        "that is finished when the folder is read again and can be written to."
    )
