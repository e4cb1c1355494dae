"""Other dealers' quotes beside the case that is open: cases of their own."""

from pathlib import Path

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.words import literal
from optioneer.app.parts import fold, show
from optioneer.app.parts.uploads import KINDS, name_and_texts
from optioneer.app.session import state
from optioneer.errors import CaseError, OptioneerError, RequestError
from optioneer.files.case.demos import demo_called, demo_folders
from optioneer.files.case.texts import folder_texts
from optioneer.model.case import Case
from optioneer.study.compare.currencies import Exchange, asked_exchange

MOST_QUOTES = 5
"""Quotes beside the case."""

QUOTES = "quotes"
"""Where they are noted."""

Quotes = tuple[tuple[str, dict[str, str]], ...]
"""Names and files."""


def draw(case: Case) -> tuple[tuple[Case, ...], Exchange | None]:
    """The other quotes, and the exchange for them; none while a rate is missing."""
    with fold.under("Add another dealer's quote", "quotes"):
        _add()
    cases = []
    for place, (name, texts) in enumerate(_other_quotes()):
        read = cached.read(name, texts)
        text, drop = st.columns([6, 1], vertical_alignment="center")
        text.markdown(f"Beside it: **{literal(name)}**")
        drop.button("Take away", key=f"drop-quote-{place}", on_click=_drop, args=(place,))
        if read.case is None:
            show.faults(read.faults, title="This quote takes no part while it has faults.")
        elif name == case.name:
            st.error("Two quotes with one name cannot be told apart; rename the folder of one.")
        else:
            cases.append(read.case)
    return tuple(cases), _exchange(case, cases)


def _add() -> None:
    st.caption(
        "Another dealer's quote is a case of its own for the same work; copy this case and change "
        "machine and options."
    )
    given = st.file_uploader("Zip archive or workbook", type=list(KINDS), key="quote-upload")
    if given is not None and st.button("Add the file", key="quote-add-file"):
        try:
            _put(*name_and_texts(given.name, given.getvalue(), otherwise="quote"))
        except OptioneerError as error:
            show.mistake(error)
    if state.folders_allowed():
        path = st.text_input("Or the path of its folder", key="quote-path")
        if st.button("Add the folder", key="quote-add-folder") and path.strip():
            _folder(Path(path.strip()))
    for folder in demo_folders():
        if st.button(f"Add the {demo_called(folder)} demo", key=f"quote-{folder.name}"):
            _put(demo_called(folder), folder_texts(folder))


def _folder(typed: Path) -> None:
    try:
        folder = typed.expanduser().resolve()
        _put(folder.name, folder_texts(folder))
    except CaseError as error:
        show.faults(error.faults, title="This folder cannot be opened.")
    except RequestError as error:
        show.mistake(error)
    except (OSError, RuntimeError, ValueError):
        st.error("This is no path of a folder.")


def _other_quotes() -> Quotes:
    """The other quotes, names and files; they stay beside the draft."""
    return tuple((str(name), dict(texts)) for name, texts in state.last_note(QUOTES) or ())


def _put(name: str, texts: dict[str, str]) -> None:
    others = tuple(quote for quote in _other_quotes() if quote[0] != name)
    _note((*others, (name, texts))[-MOST_QUOTES:])
    st.rerun()


def _drop(place: int) -> None:
    held = _other_quotes()
    _note((*held[:place], *held[place + 1 :]))


def _note(quotes: Quotes) -> None:
    state.note(QUOTES, [[name, dict(texts)] for name, texts in quotes])


def _exchange(case: Case, others: list[Case]) -> Exchange | None:
    """The exchange for the currencies of the other quotes; none while a rate is missing."""
    own = case.machine.currency
    foreign = sorted({other.machine.currency for other in others} - {own})
    rates = []
    for code in foreign:
        key = f"rate-{state.required_draft().id}-{code}"
        state.recall(key, lambda _: True)
        typed = st.text_input(f"What one {code} is worth in {own}", key=key)
        state.note(key, typed)
        if not typed.strip():
            st.info(f"Give the rate of {code}; then the quotes can be compared.")
            return None
        rates.append(f"{code}={typed.strip()}")
    try:
        return asked_exchange(
            rates, day=state.clock().date().isoformat() if rates else None, currency=own
        )
    except OptioneerError as error:
        show.mistake(error)
        return None
