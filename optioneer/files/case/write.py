"""A case written back into its folder: what was read and still holds stays as it was written."""

import os
import shutil
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from optioneer.errors import CaseError, RequestError
from optioneer.files.case.csv_layout import updated_table
from optioneer.files.case.options_file import read_options
from optioneer.files.case.part import CasePart
from optioneer.files.case.shapes import SHAPES
from optioneer.files.case.sources_file import read_sources, sources_table
from optioneer.files.case.texts import refuse_changed
from optioneer.files.case.toml_files import read_toml
from optioneer.files.plain.atomic import PREFIX, current_mask, force_folder, renamed, sweep
from optioneer.files.plain.lock import locked
from optioneer.files.plain.source import Source
from optioneer.files.plain.toml_layout import updated
from optioneer.files.plain.toml_values import TomlTable, data, toml_value
from optioneer.files.saving.commit import write_files_atomically
from optioneer.files.saving.folder import new_folder
from optioneer.files.saving.folder_state import FolderState, folder_state
from optioneer.forms.schema import GROWTH, MACHINE, OPTIONS, PAYING, SITE, SOURCES, case_fields
from optioneer.model.case import Case
from optioneer.model.checks.consistency import checked
from optioneer.model.paying import Paying
from optioneer.model.site import Site


@dataclass(frozen=True)
class Writer:
    """How one file of a case is written.

    Parameters
    ----------
    facts
        The fields of `Case` that it states.
    text
        The new text, from the old file, the facts it states, and the case.
    """

    facts: Sequence[str]
    read: Callable[[Source], CasePart]
    text: Callable[[Source | None, Mapping[str, Any], Case], str]


def _toml(file: str, facts: Sequence[str], stated: Callable[[Case], TomlTable]) -> Writer:
    """The writer of a TOML file, whose values a function takes out of a case."""

    def text(old: Source | None, _: Mapping[str, Any], case: Case) -> str:
        return updated(old.text if old else "", stated(case), SHAPES[file])

    return Writer(facts, read_toml, text)


def _machine_data(case: Case) -> TomlTable:
    values = {key: getattr(case, field) for key, field in case_fields(MACHINE).items()}
    return {key: toml_value(value) for key, value in values.items() if value is not None}


def options_text(old: Source | None, facts: Mapping[str, Any], case: Case) -> str:
    """The text of ``options.csv``."""
    before = facts["catalogue"].options if old else ()
    return updated_table(old, before, case.catalogue.options)


def sources_text(old: Source | None, facts: Mapping[str, Any], case: Case) -> str:
    """The text of ``sources.csv``."""
    before = (facts["sources"] or ()) if old else ()
    return sources_table(old, before, case.sources or ())


WRITERS: Mapping[str, Writer] = {
    MACHINE: _toml(MACHINE, tuple(case_fields(MACHINE).values()), _machine_data),
    OPTIONS: Writer(("catalogue",), read_options, options_text),
    GROWTH: _toml(GROWTH, ("growth",), lambda case: data(case.growth)),
    PAYING: _toml(PAYING, ("paying",), lambda case: data(case.paying or Paying())),
    SITE: _toml(SITE, ("site",), lambda case: data(case.site or Site())),
    SOURCES: Writer(("sources",), read_sources, sources_text),
}
"""The files of a case that are written."""


def write_case(case: Case, folder: Path, *, keep: bool = False, opened: str | None = None) -> None:
    """Write a case into a folder that holds nothing yet, or holds a case.

    Comments, layout, separators and line ends of the files that are there stay; a file whose facts
    are unchanged is not touched. A file that the case does without is renamed to end in ``.old``.
    The name of the case is the name of the folder. All files are replaced in one step.

    Parameters
    ----------
    folder
        Where to write it; made when it does not exist.
    keep
        Whether a file that changes is kept as it was, under its name with ``.old`` behind it.
    opened
        Fingerprint of the texts that `case` was made from, where it was; they must still be there.

    Raises
    ------
    CaseError
        The case has faults; nothing is written.
    RequestError
        The folder holds something else, somebody else has changed it, its files cannot be read, or
        the disk refuses.
    """
    checked(case)
    names = _names(folder)
    if names and not WRITERS.keys() & names:
        raise RequestError(f"{folder}: holds something else than a case; choose another folder.")
    with new_folder(folder), locked(folder):
        if opened is not None:
            refuse_changed(folder, opened)
        _write(case, folder, folder_state(folder), keep=keep)


def _write(case: Case, folder: Path, state: FolderState, *, keep: bool) -> None:
    contents = {name: _new_text(name, case, _old(name, folder, state), folder) for name in WRITERS}
    changed = {name: text.encode() for name, text in contents.items() if text is not None}
    gone = sorted(name for name in state.found if _can_be_absent(WRITERS[name], case))
    kept = changed.keys() & state.found if keep else ()
    old = {f"{name}.old": (folder / name).read_bytes() for name in kept}
    if old or changed or gone:
        write_files_atomically(folder, old | changed, aside=gone)


def case_texts(case: Case, texts: Mapping[str, str]) -> dict[str, str]:
    """The texts that state a case, those that state it already as they are.

    Parameters
    ----------
    texts
        Text by file name so far, with byte order marks; comments and layout stay.

    Raises
    ------
    CaseError
        The case has faults.
    RequestError
        The texts so far cannot be read.
    """
    checked(case)
    found = {name: text for name, text in texts.items() if name not in WRITERS}
    for name, writer in WRITERS.items():
        old = Source.of(name, texts[name]) if name in texts else None
        new = _new_text(name, case, old, Path(case.name))
        if new is not None:
            found[name] = new
        elif name in texts and not _can_be_absent(writer, case):
            found[name] = texts[name]
    return found


def write_new_case(case: Case, folder: Path) -> None:
    """Write a case into a folder that does not exist yet or is empty: all of it, or nothing.

    Raises
    ------
    CaseError
        The case has faults; nothing is written.
    RequestError
        Something is there, or the disk refuses; nothing is left behind.
    """
    checked(case)
    if _names(folder):
        raise RequestError(f"{folder}: is not empty; name a new folder.")
    target = folder.resolve()
    with new_folder(target.parent):
        try:
            _put_in_place(case, target)
        except OSError as error:
            raise RequestError(f"{folder}: cannot be made ({error.strerror}).") from error


def _put_in_place(case: Case, target: Path) -> None:
    sweep(target.parent)
    staged = Path(tempfile.mkdtemp(prefix=PREFIX, dir=target.parent))
    try:
        staged.chmod(0o777 & ~current_mask())
        write_case(case, staged)
        if os.name == "nt" and target.exists():  # elsewhere an empty folder is replaced
            target.rmdir()
        renamed(staged, target)
    finally:
        shutil.rmtree(staged, ignore_errors=True)
    force_folder(target.parent)


def _names(folder: Path) -> set[str]:
    """Names of what a person sees in a folder."""
    try:
        return {path.name for path in folder.iterdir() if not path.name.startswith(".")}
    except FileNotFoundError:
        return set()
    except OSError as error:
        raise RequestError(f"{folder}: cannot be read ({error.strerror}).") from error


def _can_be_absent(writer: Writer, case: Case) -> bool:
    """Whether the case does without the file: all that it would state is none."""
    return all(getattr(case, field) is None for field in writer.facts)


def _new_text(name: str, case: Case, old: Source | None, folder: Path) -> str | None:
    """The text that a file is to hold; none when it states the case already."""
    writer = WRITERS[name]
    if _can_be_absent(writer, case):
        return None
    wanted = {field: getattr(case, field) for field in writer.facts}
    facts = _facts(writer, old, folder) if old else {}
    if facts == wanted:
        return None
    text = writer.text(old, facts, case)
    new = Source(name, text)
    if (found := writer.read(new)).faults or dict(found.facts) != wanted:
        raise RuntimeError(f"{name} would not state the case that was to be written")
    return old.marked_like(text) if old else text


def _old(name: str, folder: Path, state: FolderState) -> Source | None:
    if name not in state.found:
        return None
    try:
        return state.text_of(name)
    except CaseError as error:
        raise _unreadable(folder, error) from error


def _facts(writer: Writer, old: Source, folder: Path) -> Mapping[str, Any]:
    try:
        part = writer.read(old)
    except CaseError as error:
        raise _unreadable(folder, error) from error
    if part.faults:
        raise _unreadable(folder, CaseError(part.faults))
    return part.facts


def _unreadable(folder: Path, error: CaseError) -> RequestError:
    first = error.faults[0]
    return RequestError(f"{folder}: the case there has faults, mend them first. {first}")
