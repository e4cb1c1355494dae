"""What stands above every page: which case is open, what is unsaved, undo and save."""

import streamlit as st

from optioneer.app.engine.drafts import Draft
from optioneer.app.engine.words import literal
from optioneer.app.session import state
from optioneer.errors import RequestError
from optioneer.files.case.texts import archive, fingerprint, save_texts


def draw() -> None:
    """The name of the case, what is unsaved, and what can be done about it."""
    draft = state.required_draft()
    message = state.take_message()
    if message:
        st.toast(literal(message))
    with st.container(horizontal=True, vertical_alignment="center", key="bar"):
        _draw_bar(draft)


def _draw_bar(draft: Draft) -> None:
    mark = " \u00b7 **unsaved changes**" if draft.unsaved else ""
    st.markdown(f"{literal(draft.name)}{mark}")
    st.button("Undo", key="undo", disabled=not draft.undo, on_click=_undo)
    if draft.folder is not None and state.folders_allowed():
        st.button(
            "Save",
            key="save",
            disabled=not draft.unsaved,
            on_click=_save,
            help=f"Write the changes into {literal(str(draft.folder))}.",
        )
    else:
        st.download_button(
            "Download",
            data=lambda: archive(draft.texts),
            file_name="case.zip",
            mime="application/zip",
            key="download",
            on_click=_note_download,
        )
    st.button("Other case", key="close", on_click=state.close_case)


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


def _note_download() -> None:
    state.put_draft(state.required_draft().marked_saved())
