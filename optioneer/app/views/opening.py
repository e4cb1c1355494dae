"""Before a case is open: go on with a draft, look at a demo, open a folder, upload, start anew."""

from pathlib import Path

import streamlit as st

from optioneer.app.engine.drafts import new_draft
from optioneer.app.engine.settings import LARGEST_UPLOAD
from optioneer.app.engine.words import PLANNING, literal
from optioneer.app.parts import show
from optioneer.app.parts.start import from_list
from optioneer.app.parts.uploads import KINDS, name_and_texts
from optioneer.app.session import state
from optioneer.errors import CaseError, RequestError
from optioneer.files.case.demos import demo_called, demo_folders
from optioneer.files.case.starter import NAMES, starter_text
from optioneer.files.case.texts import folder_texts, spoken_name


def page() -> None:
    """All the ways to a case."""
    st.title("Which options to order with the machine")
    st.markdown(
        "Optioneer reads a quote and your view of the coming work, weighs every package of "
        "options against thousands of possible futures, and says **what to order now, what to "
        "leave for a retrofit, what to leave off**, and how sure that is."
    )
    _drafts()
    left, right = st.columns(2)
    with left:
        from_list.draw()
        _demos()
        _anew()
    with right:
        _upload()
        if state.folders_allowed():
            _folder()
    st.caption(PLANNING)


def _drafts() -> None:
    for kept in state.drafts_offered()[:5]:
        with st.container(border=True):
            text, go, drop = st.columns([6, 1.4, 1.4], vertical_alignment="center")
            text.markdown(f"**{literal(kept.name)}** has changes that were never saved.")
            go.button("Go on with it", key=f"go-{kept.id}", on_click=_go_on, args=(kept.id,))
            drop.button(
                "Discard it", key=f"no-{kept.id}", on_click=state.store().drop, args=(kept.id,)
            )


def _go_on(name: str) -> None:
    draft = state.store().get(name)
    if draft is not None:
        state.open_draft(draft)


def _demos() -> None:
    st.subheader("Look at a demo")
    with st.container(horizontal=True):
        for folder in demo_folders():
            st.button(
                f"Open the {demo_called(folder)} demo",
                key=f"demo-{folder.name}",
                on_click=_open_demo,
                args=(folder,),
            )
    st.caption("Invented machines, prices and shops.")


def _open_demo(folder: Path) -> None:
    """A copy of a demo: it is never written back into the demo's folder."""
    state.open_draft(new_draft(demo_called(folder), folder_texts(folder)))


def _anew() -> None:
    st.subheader("Start anew")
    name = st.text_input(
        "Name of the machine or purchase", key="new-name", max_chars=80, placeholder="our mill"
    )
    if st.button("Start a case to fill in", key="new"):
        texts = {each: starter_text(each) for each in NAMES}
        state.open_draft(new_draft(spoken_name(name, "our machine"), texts))
        st.rerun()


def _folder() -> None:
    st.subheader("Open a folder on this machine")
    typed = st.text_input(
        "Path of the case folder", key="folder-path", placeholder="~/cases/our mill"
    )
    if st.button("Open", key="folder-open") and typed.strip():
        try:
            state.open_folder(Path(typed.strip()).expanduser())
        except CaseError as error:
            show.faults(error.faults, title="This folder cannot be opened.")
        except RequestError as error:
            show.mistake(error)
        except (OSError, RuntimeError, ValueError):
            st.error("This is no path of a folder.")
        else:
            st.rerun()


def _upload() -> None:
    st.subheader("Upload a case")
    given = st.file_uploader(
        f"A zip archive of a case or a filled-in workbook, {LARGEST_UPLOAD} MB at most",
        type=list(KINDS),
        key="upload",
    )
    if given is None:
        return
    try:
        name, texts = name_and_texts(given.name, given.getvalue(), otherwise="uploaded")
    except CaseError as error:
        show.faults(error.faults, title="This workbook cannot be taken in.")
    except RequestError as error:
        show.mistake(error)
    else:
        state.open_draft(new_draft(name, texts))
        st.rerun()
