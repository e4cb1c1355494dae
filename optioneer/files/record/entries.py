"""The record of a case: decisions as they were sealed, and what was paid and fitted since.

One text file in the case folder, an entry a line, all in one chain (`chain`). An act replaces the
file in one step under the lock of the case: a process that is killed leaves the record as it was
before the act or after it. Nothing in it is ever changed; a new entry says what is new.
"""

import json
from collections.abc import Mapping
from pathlib import Path

from pydantic import ValidationError

from optioneer.errors import RequestError
from optioneer.files.plain.lock import locked
from optioneer.files.record.chain import HEADER, NONE, Link, after, links_of
from optioneer.files.saving.commit import write_files_atomically
from optioneer.study.record.facts import (
    Arrived,
    Fitted,
    PaidFact,
    Recorded,
    RecordedFact,
    Recording,
    Sealed,
    Withdrawn,
)

NAME = "record.jsonl"
"""The file in the case folder."""

EARLIER = "record.sqlite"
"""The record as version 0.1 kept it."""

LARGEST = 500_000_000
"""Files beyond this are not read [bytes]."""

RecordEntry = Sealed | PaidFact | Fitted | Arrived | Withdrawn
KINDS: Mapping[str, type[RecordEntry]] = {
    "decision": Sealed,
    "paid": PaidFact,
    "fitted": Fitted,
    "arrived": Arrived,
    "withdrawn": Withdrawn,
}


def record(folder: Path, what: RecordEntry, *, corrects: int | None = None) -> Link:
    """Put an entry at the end of the record of a case.

    Parameters
    ----------
    folder
        Of the case.
    what
        A decision, what came, or that a fact counts no more.
    corrects
        Number of the earlier entry that this one is put in the place of; both stay.

    Returns
    -------
    Link
        The entry with its number and its seal.

    Raises
    ------
    RequestError
        The record is damaged, cannot be written or is none of ours, or there is no such fact to
        correct; nothing was changed.
    """
    with locked(folder):
        data = _data(folder)
        known = _record_of(data)
        _refuse_damage(folder, known)
        if corrects is not None:
            _refuse_correction(known, corrects, what)
        number, before = after(links_of(data)[0])
        kind = next(kind for kind, made in KINDS.items() if isinstance(what, made))
        body = json.loads(what.model_dump_json())
        link = Link(number=number, before=before, kind=kind, body=body, corrects=corrects)
        write_files_atomically(folder, {NAME: data + f"{link.line}\n".encode()})
    return link


def must_be_whole(folder: Path) -> None:
    """Refuse a record that nothing can be put into, before the work and not after it.

    Raises
    ------
    RequestError
        It is damaged, cannot be read or is none of ours.
    """
    _refuse_damage(folder, read_record(folder))


def _refuse_damage(folder: Path, known: Recorded) -> None:
    if known.damage:
        raise RequestError(
            f"{folder / NAME}: is damaged, and nothing is written over it. {known.damage[0]} "
            "Take the file from a backup, or move it away to begin a new one."
        )


def _refuse_correction(known: Recorded, number: int, what: RecordEntry) -> None:
    """Refuse a correction of what is no fact of this kind, or counts no more."""
    entry = next((one for one in known.entries if one.number == number), None)
    if entry is None or not isinstance(entry.what, RecordedFact):
        allowed = ", ".join(
            str(e.number) for e in known.entries if isinstance(e.what, RecordedFact)
        )
        raise RequestError(
            f"Entry {number} is nothing that was paid, fitted or arrived. "
            f"Such entries: {allowed or 'none'}."
        )
    if number in known.corrected:
        raise RequestError(
            f"Entry {number} counts no more: entry {known.corrected[number]} stands in its place. "
            "Correct that one."
        )
    if not isinstance(what, (type(entry.what), Withdrawn)):
        raise RequestError(
            f"Entry {number} is of another kind. Withdraw it, then record what is right."
        )


def read_record(folder: Path) -> Recorded:
    """Everything in the record of a case that is whole, and what is wrong with the rest.

    Nothing is written, so that it also serves in a folder that may only be read.

    Raises
    ------
    RequestError
        The file cannot be read or is none of ours.
    """
    return _record_of(_data(folder))


def _record_of(data: bytes) -> Recorded:
    links, damage = links_of(data)
    entries: list[Recording] = []
    strange: list[str] = []
    for link in links:
        try:
            what = KINDS[link.kind].model_validate_json(json.dumps(link.body))
            entry = Recording(number=link.number, what=what, corrects=link.corrects)
        except (KeyError, ValidationError):
            strange.append(f"Entry {link.number} is none that this version of the program knows.")
        else:
            entries.append(entry)
    return Recorded(
        entries=tuple(entries),
        heads=(NONE, *(link.head for link in links)),
        damage=(*damage, *strange),
    )


def _data(folder: Path) -> bytes:
    """All of the file; the beginning of one where there is none yet."""
    path = folder / NAME
    if (folder / EARLIER).exists():
        raise RequestError(
            f"{folder / EARLIER}: is a record of version 0.1, which this version does not read. "
            f"Move it away and keep it; decisions are now recorded in {NAME}, beginning anew."
        )
    if path.is_symlink():
        raise RequestError(f"{path}: is a link; put the file itself into the folder.")
    if not path.exists():
        return f"{HEADER}\n".encode()
    try:
        if not path.is_file() or path.stat().st_size > LARGEST:
            raise RequestError(f"{path}: is no record of decisions. Move it away.")
        return path.read_bytes()
    except OSError as error:
        raise RequestError(f"{path}: cannot be read ({error.strerror}).") from error
