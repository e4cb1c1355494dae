"""What stands above every page: which case is open, what is unsaved, undo and save."""

import streamlit as st

from optioneer.app.engine.words import literal
from optioneer.app.session import state
from optioneer.errors import RequestError
from optioneer.files.case.texts import archive, fingerprint, save_texts


def draw() -> None:
    """The name of the case, what is unsaved, and what can be done about it."""
    draft = state.required_draft()
    message = state.told()
    if message:
        st.toast(literal(message))
    name, undo, keep, other = st.columns([6, 1, 1.4, 1.4], vertical_alignment="center")
    mark = " \u00b7 **unsaved changes**" if draft.unsaved else ""
    name.markdown(f"{literal(draft.name)}{mark}")
    undo.button("Undo", key="undo", disabled=not draft.undo, on_click=_undo, width="stretch")
    if draft.folder is not None and state.folders_allowed():
        keep.button(
            "Save",
            key="save",
            disabled=not draft.unsaved,
            on_click=_save,
            help=f"Write the changes into {literal(str(draft.folder))}.",
            width="stretch",
        )
    else:
        keep.download_button(
            "Download",
            data=lambda: archive(draft.texts),
            file_name="case.zip",
            mime="application/zip",
            key="download",
            on_click=_downloaded,
            width="stretch",
        )
    other.button("Other case", key="close", on_click=state.close_case, width="stretch")


def _undo() -> None:
    state.put_draft(state.required_draft().undone(), redraw=True)


def _save() -> None:
    draft = state.required_draft()
    if draft.folder is None:
        return
    try:
        save_texts(draft.texts, draft.folder, opened=draft.opened)
    except RequestError as error:
        state.tell(str(error))
        return
    state.put_draft(draft.saved_in(draft.folder, fingerprint(draft.texts)))
    state.tell(f"Saved in {draft.folder}.")


def _downloaded() -> None:
    state.put_draft(state.required_draft().marked_saved())
