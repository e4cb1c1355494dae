"""Showing slow work: the best answer so far, how far the next one is, and a way to stop it."""

from collections.abc import Hashable

import streamlit as st

from optioneer.app import state
from optioneer.app.work import Errand, Stage

PATIENCE = 0.7
"""How long a page waits for a first answer before it shows progress instead [s]."""

LOOK = 0.3
"""How often progress is looked at [s]."""


def asked(key: Hashable, *stages: Stage, patience: float = PATIENCE) -> Errand:
    """The errand about `key`, once it has a first answer or the patience is over.

    Raises
    ------
    Exception
        Whatever kept it from a first answer.
    """
    errand = state.bench().ask(key, *stages)
    errand.wait(patience)
    return errand


def progress(errand: Errand, doing: str) -> None:
    """While more answers may come: how far they are, and a button that stops them.

    Draws nothing once the errand has ended; the page is drawn again with each new answer.
    """
    mark = abs(hash(errand.key))
    if not errand.alive:
        if errand.stopped and len(errand.answers) < len(errand.stages):
            st.caption("Stopped. What is shown is the answer so far.")
            st.button(
                "Go on", key=f"go-on-{mark}", on_click=state.bench().forget, args=(errand.key,)
            )
        return
    seen = len(errand.answers)

    @st.fragment(run_every=LOOK)
    def bar() -> None:
        if not errand.alive or len(errand.answers) > seen:
            st.rerun()
        left, right = st.columns([5, 1], vertical_alignment="center")
        left.progress(min(max(errand.share, 0.0), 1.0), text=doing)
        right.button("Stop", key=f"stop-{mark}", on_click=errand.stop)

    bar()
