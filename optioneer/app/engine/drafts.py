"""Drafts: what a person has open and not yet saved, kept on disk so that nothing is lost.

One file a draft outside the case folder, replaced in one step at every change.
"""

import json
import os
import re
import secrets
import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from optioneer.files.case.texts import fingerprint
from optioneer.files.plain.atomic import PREFIX, sweep, write_text_atomically
from optioneer.files.plain.lock import ENDING, locked
from optioneer.files.saving.folder import new_folder

_Texts = Mapping[str, str]
"""The files of a case by name."""

MOST_UNDONE = 30
"""Steps that can be undone."""

KEPT_DAYS = 60
"""Drafts without unsaved changes are forgotten after so long [days]."""

_ID = re.compile(r"[A-Za-z0-9_-]{16,40}")


@dataclass(frozen=True)
class Draft:
    """A case that somebody has open, with unsaved changes.

    Parameters
    ----------
    id
        Its own secret name: whoever knows it can go on with the draft.
    name
        Name of the case.
    texts
        The files as they are now, faults and all.
    saved
        What tells each file as last opened, saved or downloaded from any other.
    folder
        The open folder, if the case came from one.
    opened
        Fingerprint of what the folder held when it was opened or saved last.
    undo
        What the files that a change touched held before it, none where there was no such file; the
        latest change last.
    """

    id: str
    name: str
    texts: _Texts
    saved: Mapping[str, str]
    folder: Path | None = None
    opened: str = ""
    undo: tuple[Mapping[str, str | None], ...] = ()

    @property
    def unsaved(self) -> bool:
        """Whether something would be lost without the draft."""
        return bool(self.changed_files)

    @property
    def changed_files(self) -> frozenset[str]:
        """Files that are not as last opened, saved or downloaded."""
        now = marks(self.texts)
        return frozenset(n for n in {*now, *self.saved} if now.get(n) != self.saved.get(n))

    def with_texts(self, texts: _Texts) -> "Draft":
        """The draft after a change, which can be undone."""
        names = sorted({*texts, *self.texts})
        before = {n: self.texts.get(n) for n in names if texts.get(n) != self.texts.get(n)}
        if not before:
            return self
        return replace(self, texts=dict(texts), undo=(*self.undo, before)[-MOST_UNDONE:])

    def undone(self) -> "Draft":
        """The draft before its last change."""
        if not self.undo:
            return self
        *earlier, last = self.undo
        back = {name: text for name, text in {**self.texts, **last}.items() if text is not None}
        return replace(self, texts=back, undo=tuple(earlier))

    def saved_in(self, folder: Path, opened: str) -> "Draft":
        """The draft after it was written into a folder, which now holds what `opened` tells."""
        return replace(self.marked_saved(), folder=folder, opened=opened)

    def marked_saved(self) -> "Draft":
        """The draft with nothing unsaved."""
        return replace(self, saved=marks(self.texts))


def new_id() -> str:
    """A name that nobody guesses."""
    return secrets.token_urlsafe(18)


def new_draft(name: str, texts: _Texts, *, folder: Path | None = None) -> Draft:
    """A draft of a case that was just opened."""
    opened = fingerprint(texts) if folder is not None else ""
    return Draft(new_id(), name, dict(texts), marks(texts), folder, opened)


def marks(texts: _Texts) -> dict[str, str]:
    """What tells each file from any other, by name."""
    return {name: fingerprint({name: text}) for name, text in texts.items()}


def state_folder(environment: Mapping[str, str] = os.environ) -> Path:
    """Where drafts of this user are kept."""
    own = environment.get("OPTIONEER_STATE")
    if own:
        return Path(own)
    if sys.platform == "win32":
        base = Path(environment.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(environment.get("XDG_STATE_HOME") or Path.home() / ".local" / "state")
    return base / "optioneer"


@dataclass(frozen=True)
class Kept:
    """A draft on disk, as offered to somebody who comes back."""

    id: str
    name: str
    changed: float


@dataclass(frozen=True)
class Store:
    """The drafts of one user on disk.

    Parameters
    ----------
    folder
        Where they are.
    """

    folder: Path = field(default_factory=lambda: state_folder() / "drafts")

    def put(self, draft: Draft) -> None:
        """Keep a draft, in one step.

        Raises
        ------
        RequestError
            The disk refuses.
        """
        with new_folder(self.folder, mode=0o700):
            write_text_atomically(self._file(draft.id), _written(draft))

    def exchange(self, draft: Draft, *, seen: Draft | None) -> Draft | None:
        """Keep a draft that was made of another, unless somebody has changed that meanwhile.

        Nobody else comes between the look at what is kept and the change of it, in whichever
        thread or process.

        Parameters
        ----------
        draft
            To be kept.
        seen
            What it was made of.

        Returns
        -------
        Draft, optional
            What another window made of it; then nothing was changed. None: the draft is kept.

        Raises
        ------
        RequestError
            The disk refuses.
        """
        with (
            new_folder(self.folder, mode=0o700),
            locked(self.folder, name=f"{PREFIX}{draft.id}{ENDING}"),
        ):
            kept = self.get(draft.id)
            if kept is not None and seen is not None and kept != seen:
                return kept
            self.put(draft)
        return None

    def get(self, name: str) -> Draft | None:
        """The draft of this id, if there is one that can be read."""
        if not _ID.fullmatch(name):
            return None
        try:
            return _draft_of(name, json.loads(self._file(name).read_text(encoding="utf-8")))
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            return None

    def drop(self, name: str) -> None:
        """Forget a draft."""
        if _ID.fullmatch(name):
            self._file(name).unlink(missing_ok=True)
            self._desk(name).unlink(missing_ok=True)

    def put_desk(self, name: str, held: Mapping[str, Any]) -> None:
        """Keep what the pages of a draft hold: sliders, choices, other quotes.

        Raises
        ------
        RequestError
            The disk refuses.
        """
        if _ID.fullmatch(name):
            with new_folder(self.folder, mode=0o700):
                write_text_atomically(self._desk(name), json.dumps(dict(held)))

    def desk(self, name: str) -> dict[str, Any]:
        """What the pages of a draft held last; nothing where that cannot be read."""
        if not _ID.fullmatch(name):
            return {}
        try:
            found = json.loads(self._desk(name).read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}
        return found if isinstance(found, dict) else {}

    def unsaved_drafts(self) -> tuple[Kept, ...]:
        """Drafts with unsaved changes, the latest first; others that are old are forgotten."""
        sweep(self.folder)
        found = []
        for file in self.folder.glob("*.json") if self.folder.is_dir() else ():
            draft = self.get(file.stem)
            if draft is None:
                continue
            changed = file.stat().st_mtime
            if draft.unsaved:
                found.append(Kept(draft.id, draft.name, changed))
            elif time.time() - changed > KEPT_DAYS * 86400:
                self.drop(draft.id)
        return tuple(sorted(found, key=lambda kept: -kept.changed))

    def _desk(self, name: str) -> Path:
        return self.folder / f"{name}.desk.json"

    def _file(self, name: str) -> Path:
        return self.folder / f"{name}.json"


def _written(draft: Draft) -> str:
    return json.dumps(
        {
            "name": draft.name,
            "texts": dict(draft.texts),
            "saved": dict(draft.saved),
            "folder": None if draft.folder is None else str(draft.folder),
            "opened": draft.opened,
            "undo": [dict(texts) for texts in draft.undo],
        }
    )


def _draft_of(name: str, raw: Mapping[str, Any]) -> Draft:
    return Draft(
        id=name,
        name=str(raw["name"]),
        texts={str(key): str(text) for key, text in raw["texts"].items()},
        saved={str(key): str(mark) for key, mark in raw["saved"].items()},
        folder=None if raw["folder"] is None else Path(raw["folder"]),
        opened=str(raw["opened"]),
        undo=tuple(dict(texts) for texts in raw["undo"]),
    )
