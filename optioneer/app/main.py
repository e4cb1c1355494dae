"""The way into the app: which page is shown, and what stands above every page."""

import importlib
from collections.abc import Callable, Sequence
from pathlib import Path

import streamlit as st

from optioneer.app.engine.words import PAGES, TITLE
from optioneer.app.parts import case_bar, show
from optioneer.app.session import state
from optioneer.errors import CaseError, OptioneerError

MODULES = {
    "answer": "answer",
    "questions": "questions",
    "case": "case_page",
    "buyer": "buyer",
    "owner": "owner",
    "bookkeeper": "bookkeeper",
    "first-chips": "first_chips",
    "decide": "decide",
}
"""The module of each page; each has a function `page`."""


def run(arguments: Sequence[str]) -> None:
    """Draw the app; `arguments` may name the folder of a case.

    Before a case is open every page is the way in. None is offered, so that nobody turns away from
    a list that is being answered, or in the instant in which a case is made of it.
    """
    st.set_page_config(page_title=TITLE, layout="wide", initial_sidebar_state="collapsed")
    show.style()
    try:
        state.begin(Path(arguments[0]) if arguments else None)
    except CaseError as error:
        show.faults(error.faults, title="This case cannot be opened.")
    pages = [
        st.Page(_page_of(word), title=title, url_path=word, default=word == "answer")
        for word, title in PAGES.items()
    ]
    opened = state.session().draft is not None
    st.navigation(pages, position="top" if opened else "hidden").run()


def _page_of(word: str) -> Callable[[], None]:
    """The page of this word, imported when it is looked at."""

    def draw() -> None:
        state.enter(word)
        if state.session().draft is None:
            from optioneer.app.views import opening  # noqa: PLC0415 - only without a case

            opening.page()
            return
        case_bar.draw()
        try:
            importlib.import_module(f"optioneer.app.views.{MODULES[word]}").page()
        except OptioneerError as error:
            show.mistake(error)

    return draw
