"""What a page says when the case lacks the file it is about: what to fill in, and where."""

from collections.abc import Sequence

import streamlit as st

from optioneer.app.engine.words import PAGES, literal


def draw(sentence: str, steps: Sequence[str], part: str) -> None:
    """Say what is missing, what to fill in, and lead to the page of the case.

    Parameters
    ----------
    sentence
        What is missing.
    steps
        What to fill in, one thing each.
    part
        Part of the case, as its page calls it.
    """
    st.info(literal(sentence), icon=":material/info:")
    st.markdown("\n".join(f"{place}. {literal(step)}" for place, step in enumerate(steps, 1)))
    st.page_link(
        to("case"), label=f"Fill it in on '{PAGES['case']}', under '{part}'", icon=":material/edit:"
    )


def to(word: str) -> "st.Page":
    """The page of this word, for a link to it: the address is what tells it from the others."""
    return st.Page(_elsewhere, title=PAGES[word], url_path=word)


def _elsewhere() -> None:
    """The page itself is drawn by `main`."""
