"""Saving the case that is open into a folder of its own."""

from pathlib import Path

import streamlit as st

from optioneer.app.engine.words import literal
from optioneer.app.parts import show
from optioneer.app.session import state
from optioneer.errors import OptioneerError
from optioneer.files.case.texts import fingerprint, folder_fingerprint, save_texts


def draw(label: str) -> None:
    """Ask for a folder, and save there; for who sits at this machine.

    Parameters
    ----------
    label
        What the folder is for.
    """
    path = st.text_input(label, key="save-path", placeholder="~/cases/our mill")
    if st.button("Save there", key="save-there") and path.strip():
        _save(Path(path.strip()))


def _save(typed: Path) -> None:
    draft = state.required_draft()
    try:
        folder = typed.expanduser().resolve()
        occupied = folder.exists() and any(folder.iterdir())
    except (OSError, RuntimeError, ValueError):
        st.error("This is no path of a folder.")
        return
    if occupied and folder != draft.folder:
        st.error(literal(f"{folder}: is not empty; name a new folder."))
        return
    try:
        save_texts(draft.texts, folder, opened=folder_fingerprint(folder) if occupied else "")
    except OptioneerError as error:
        show.mistake(error)
        return
    state.put_draft(draft.saved_in(folder, fingerprint(draft.texts)))
    state.tell(f"Saved in {folder}.")
    st.rerun()
