"""What one visitor has open; pages touch the state of a session only through this."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import streamlit as st
from streamlit import runtime
from streamlit.runtime.scriptrunner import get_script_run_ctx

from optioneer.app.apart.reading import Read
from optioneer.app.engine import cached
from optioneer.app.engine.drafts import Draft, Kept, Store, new_draft
from optioneer.app.engine.settings import at_home
from optioneer.app.engine.work import Bench
from optioneer.app.session.held import HELD, undisturbed
from optioneer.files.case.texts import folder_texts
from optioneer.model.case import Case
from optioneer.reports.page.money import DEFAULT_LOCALE, Figures, locale_of

DRAFT = "draft"
"""The word in the address that names a draft."""


@dataclass(frozen=True)
class Base:
    """What the grid on the screen was drawn from: what is typed is told as changes to it.

    Parameters
    ----------
    sheet
        Its sheet.
    currency
        Said in the headings of its columns; with another one it is another grid.
    version
        In which it was drawn.
    texts
        The files that it was drawn from.
    """

    sheet: str
    currency: str
    version: int
    texts: Mapping[str, str]


@dataclass(frozen=True)
class Shown:
    """An answer that stands on the page, and what it is about."""

    about: Any
    answer: Any


@dataclass(frozen=True)
class Session:
    """What one visitor has open.

    Parameters
    ----------
    draft
        The case with its unsaved changes; none before one is chosen.
    settings
        The last settings of the owner's sliders, each with its verdicts, to mark what turned.
    version
        Rises when tables must be drawn anew, e.g. after undo.
    page
        The page shown last.
    base
        What the grid on the screen was drawn from, if there is one.
    """

    draft: Draft | None = None
    settings: tuple[tuple[str, Mapping[str, str]], ...] = ()
    version: int = 0
    page: str = ""
    base: Base | None = None


_SESSION, _BENCH, _STORE, _TOLD, _SHOWN, _DESK = (
    "optioneer",
    "optioneer-bench",
    "optioneer-store",
    "optioneer-told",
    "optioneer-shown",
    "optioneer-desk",
)

_in_use: dict[str, set[str]] = {}
"""Visitors that opened each draft; while one of them is still there it is not offered to others."""


def session() -> Session:
    """What is open now."""
    found: Session = HELD.setdefault(_SESSION, Session())
    return found


def change(**changes: Any) -> None:
    """Open or choose something else."""
    HELD[_SESSION] = replace(session(), **changes)


def bench() -> Bench:
    """The slow work of this visitor."""
    if _BENCH not in HELD:
        HELD[_BENCH] = Bench(partial(_present, _visitor()))
    found: Bench = HELD[_BENCH]
    return found


def _visitor() -> str:
    """The name of this visitor, as long as the page stays open."""
    context = get_script_run_ctx()
    return "" if context is None else context.session_id


def _present(visitor: str) -> bool:
    """Whether a visitor's browser is still there; without a server, as in tests, it always is."""
    return not runtime.exists() or runtime.get_instance().is_active_session(visitor)


def store() -> Store:
    """Where drafts are kept."""
    found: Store = HELD.setdefault(_STORE, Store())
    return found


def begin(launched: Path | None) -> None:
    """Open what the address names, or the case that the app was started with."""
    if session().draft is None:
        kept = store().get(_name_in_address())
        if kept is not None:
            change(draft=kept)
        elif launched is not None and _SESSION + "-begun" not in HELD:
            _launch(launched.resolve())
        HELD[_SESSION + "-begun"] = True
    mark()


def _launch(folder: Path) -> None:
    """Open a case folder, or go on with changes to it that somebody left without saving them."""
    drafts = (store().get(kept.id) for kept in drafts_offered())
    left = next((draft for draft in drafts if draft and draft.folder == folder), None)
    if left is None:
        open_folder(folder)
        return
    open_draft(left)
    tell("These are changes to this case that were never saved. Save them, or undo them.")


def mark() -> None:
    """Name the draft in the address, so that the same page opened again goes on with it."""
    draft = session().draft
    if draft is None:
        return
    _in_use.setdefault(draft.id, set()).add(_visitor())
    if _name_in_address() != draft.id:
        undisturbed(lambda: st.query_params.__setitem__(DRAFT, draft.id))


def _name_in_address() -> str:
    """The draft that the address names; '' for none."""
    return undisturbed(lambda: st.query_params.get(DRAFT, ""))


def enter(page: str) -> None:
    """Note which page is drawn; tables of a page just entered start from what is there now."""
    bench().turn()
    if session().page != page:
        change(page=page, version=session().version + 1)


def open_folder(folder: Path) -> None:
    """Open a case folder.

    Raises
    ------
    CaseError
        It holds no case or cannot be read.
    """
    path = folder.resolve()
    open_draft(new_draft(path.name, folder_texts(path), folder=path))


def open_draft(draft: Draft) -> None:
    """Go on with a draft, on disk first."""
    bench().close()
    store().put(draft)
    HELD[_SESSION] = Session(draft=draft, version=session().version + 1)


def close_case() -> None:
    """Leave the case that is open; its draft is kept while it has unsaved changes."""
    draft = session().draft
    if draft is not None and not draft.unsaved:
        store().drop(draft.id)
    if draft is not None:
        _in_use.get(draft.id, set()).discard(_visitor())
    bench().close()
    HELD[_SESSION] = Session(version=session().version + 1)
    undisturbed(lambda: st.query_params.pop(DRAFT, None))


def put_draft(draft: Draft, *, redraw: bool = False) -> None:
    """Take a changed draft, on disk first; `redraw` when tables must be drawn anew.

    When another window has changed the same draft meanwhile, its version is shown instead, and
    that is said.
    """
    theirs = store().exchange(draft, seen=session().draft)
    if theirs is None:
        change(draft=draft, version=session().version + int(redraw))
        return
    change(draft=theirs, version=session().version + 1)
    tell("Another window has changed this case meanwhile. Its version is shown; change it again.")


def put_texts(texts: Mapping[str, str], *, redraw: bool = False) -> None:
    """Take changed files, as a step that can be undone."""
    put_draft(required_draft().with_texts(texts), redraw=redraw)


def base_for(sheet: str, currency: str) -> Base:
    """What the grid of a sheet is drawn from: the present files when it is drawn anew.

    The framework forgets what was typed into a grid that becomes another one, so that another one
    begins with the files as they are by then.
    """
    held, version = session().base, session().version
    if held is not None and held == replace(held, sheet=sheet, currency=currency, version=version):
        return held
    if held is not None and held.version == version:
        version += 1
    base = Base(sheet, currency, version, required_draft().texts)
    change(base=base, version=version)
    return base


def leave_grid() -> None:
    """Note that no grid is on the screen; the next one starts from what is there by then."""
    if session().base is not None:
        change(base=None, version=session().version + 1)


def redraw() -> None:
    """Draw tables anew from what is there now."""
    change(version=session().version + 1)


def required_draft() -> Draft:
    """The draft that is open, on pages that are shown only with one."""
    draft = session().draft
    if draft is None:
        msg = "no case is open"
        raise RuntimeError(msg)
    return draft


def drafts_offered() -> tuple[Kept, ...]:
    """Drafts with unsaved changes that nobody has open; only to who sits at this machine."""
    if not at_home(str(st.get_option("server.address") or "")):
        return ()
    busy = {name for name, visitors in _in_use.items() if any(map(_present, visitors))}
    return tuple(kept for kept in store().unsaved_drafts() if kept.id not in busy)


def folders_allowed() -> bool:
    """Whether visitors may open and write folders: they sit at this machine."""
    return at_home(str(st.get_option("server.address") or ""))


def read() -> Read:
    """What the open draft states."""
    draft = required_draft()
    return cached.read(draft.name, draft.texts)


def case() -> Case | None:
    """The open case; none while it has faults."""
    return read().case


def figures(currency: str) -> Figures:
    """How this visitor's browser writes money."""
    asked = st.context.locale or DEFAULT_LOCALE
    return Figures(currency, locale_of({"LC_ALL": asked.replace("-", "_")}))


def widget(key: str) -> Any:
    """What a widget holds, for callbacks."""
    return HELD.get(key)


def set_widget(key: str, value: Any) -> None:
    """Set a widget before it is drawn."""
    HELD[key] = value


def answer_shown(place: str) -> Shown | None:
    """What stands in a place of the pages of the open case, if anything does."""
    found: Shown | None = HELD.get(_SHOWN, {}).get((_open(), place))
    return found


def show_in(place: str, answer: Shown) -> None:
    """Note what stands in a place; of another case nothing does any more."""
    held = HELD.get(_SHOWN, {})
    kept = {key: one for key, one in held.items() if key[0] == _open()}
    HELD[_SHOWN] = {**kept, (_open(), place): answer}


def _open() -> str:
    draft = session().draft
    return "" if draft is None else draft.id


def recall(key: str, fits: Callable[[Any], bool]) -> None:
    """Put a widget, about to be drawn, to what it held last for this case, where that still fits.

    What it holds already goes where it no longer fits, e.g. an option that is not in the list.
    """
    if key not in HELD and key in _desk():
        HELD[key] = _desk()[key]
    if key in HELD and not fits(HELD[key]):
        del HELD[key]


def within(low: float, high: float) -> Callable[[Any], bool]:
    """Whether what a slider held still lies between its ends."""
    return lambda held: low <= held <= high


def note(key: str, value: Any) -> None:
    """Keep what a widget holds, or anything else of the page, beside the draft on disk."""
    notes({key: value})


def notes(values: Mapping[str, Any]) -> None:
    """Keep several at once."""
    desk = _desk()
    changed = {key: value for key, value in values.items() if desk.get(key) != value}
    if changed:
        desk.update(changed)
        store().put_desk(_open(), desk)


def last_note(key: str) -> Any:
    """What was noted last for this case; none when nothing was."""
    return _desk().get(key)


def _desk() -> dict[str, Any]:
    """What the pages of the open case held last."""
    name, desk = HELD.get(_DESK, ("", {}))
    if name != _open():
        desk = store().desk(_open())
        HELD[_DESK] = (_open(), desk)
    found: dict[str, Any] = desk
    return found


def tell(text: str) -> None:
    """Say something once, when the page is drawn next."""
    HELD[_TOLD] = text


def take_message() -> str:
    """What is to be said, once."""
    return str(HELD.pop(_TOLD, ""))


def clock() -> datetime:
    """Now, where this visitor is."""
    return datetime.now(UTC).astimezone()
