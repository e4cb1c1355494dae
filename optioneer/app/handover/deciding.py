"""Sealing a decision in the record of a case."""

from functools import partial

import streamlit as st
from pydantic import ValidationError

import optioneer
from optioneer.app.engine import cached
from optioneer.app.engine.words import literal
from optioneer.app.parts import saving
from optioneer.app.session import state
from optioneer.errors import OptioneerError
from optioneer.files.record.entries import must_be_whole, record
from optioneer.model.case import Case
from optioneer.model.machine import Package

MOST_NOTE = 500
"""Letters of a note."""


def folder_lacks() -> str:
    """Why nothing can be recorded now; '' when it can."""
    draft = state.required_draft()
    if draft.folder is None or not state.folders_allowed():
        return (
            "A record is kept beside the files of a case. Save this case into a folder of its own; "
            "then decisions can be recorded here."
        )
    if draft.unsaved:
        return "There are changes that are not saved. Save them first: a record seals what is kept."
    return ""


def draw(case: Case, ordered: Package, *, final: bool) -> None:
    """A note, and the press that seals."""
    st.subheader("Decide")
    names = [case.catalogue.by_id[option].name for option in ordered.options]
    st.markdown(literal(f"You decide on: {', '.join(names) or 'nothing beyond standard'}."))
    lacks = folder_lacks()
    if lacks:
        st.info(lacks, icon=":material/info:")
        if state.required_draft().folder is None and state.folders_allowed():
            saving.draw("Folder for the case and its record")
        return
    note = st.text_area(
        "Why, in your own words",
        key=f"decide-note-{state.required_draft().id}",
        max_chars=MOST_NOTE,
        height=80,
    )
    st.button(
        "Record the decision",
        key="decide",
        type="primary",
        disabled=not final,
        on_click=partial(_seal, ordered, note),
        help="Seals facts, figures and time; it can be added to, never changed.",
    )


def _seal(ordered: Package, note: str) -> None:
    """Put the decision into the record, and say by what it can be checked later."""
    draft, stated = state.required_draft(), state.read().case
    if draft.folder is None or stated is None:
        return
    try:
        must_be_whole(draft.folder)
        sealed = cached.sealed_decision(
            stated,
            ordered,
            inputs=draft.texts,
            note=note,
            time=state.clock().replace(microsecond=0),
            version=optioneer.__version__,
        )
        entry = record(draft.folder, sealed)
    except (OptioneerError, ValidationError) as error:
        state.tell(str(error))
    else:
        state.tell(f"Decision {entry.number} is recorded. Keep its seal elsewhere: {entry.head}.")
