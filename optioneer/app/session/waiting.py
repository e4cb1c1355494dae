"""Showing slow work: the best answer so far, how far the next one is, and a way to stop it."""

import time
from collections.abc import Hashable
from dataclasses import dataclass
from typing import Any

import streamlit as st

from optioneer.app.apart import memory
from optioneer.app.apart.aside import ASIDE
from optioneer.app.engine.work import Errand, WorkStage
from optioneer.app.session import state
from optioneer.app.session.held import interruptible

PATIENCE = 2.0
"""How long a page waits for a first answer before it shows progress instead [s]."""

GLANCE = 0.05
"""How often a page that waits looks whether its visitor wants something else by now [s]."""

LOOK = 0.3
"""How often progress is looked at [s]."""


@dataclass(frozen=True)
class Reply:
    """What was known of an errand when a page was drawn; it may know more since.

    Parameters
    ----------
    errand
        Which.
    answers
        Of its stages, so far.
    alive
        Whether more answers may come.
    wish
        What it is about.
    before
        What stood in the same place before: shown until there is an answer.
    """

    errand: Errand
    answers: tuple[Any, ...]
    alive: bool
    wish: Any = None
    before: state.Shown | None = None

    @property
    def answer(self) -> Any:
        """The best answer so far, else the one before; none while there is none.

        Raises
        ------
        Exception
            Whatever kept it from a first answer.
        """
        if self.answers:
            return self.answers[-1]
        found = self.errand.answer
        return self.before.answer if found is None and self.before is not None else found

    @property
    def about(self) -> Any:
        """What the answer is about: the wish, or the one before."""
        return self.before.about if self.stale and self.before is not None else self.wish

    @property
    def stale(self) -> bool:
        """Whether the answer is the one to another wish."""
        return not self.answers and self.before is not None

    @property
    def preview(self) -> bool:
        """Whether a better answer may come."""
        return len(self.answers) < len(self.errand.stages)


def reply_to(
    key: Hashable,
    *stages: WorkStage,
    enough: int | None = None,
    calm: bool = False,
    place: str = "",
    about: Any = None,
) -> Reply:
    """What is known about `key`, once there is a first answer or the patience is over.

    Parameters
    ----------
    key, stages, enough, calm
        See `Bench.ask`.
    place
        Where on the pages the answer stands; the last one there stays until the next one comes.
    about
        What is asked about, kept with the answer.
    """
    bench = state.bench()
    ahead = calm and ASIDE.process is not None
    errand = bench.ask(key, *stages, enough=enough, calm=calm, ahead=ahead)
    if not bench.waits(errand):
        _wait(errand, PATIENCE)
    alive = errand.alive  # first, so that an errand seen as ended has all its answers
    reply = Reply(errand, tuple(errand.answers), alive, about, state.answer_shown(place))
    if place and reply.answers:
        state.show_in(place, state.Shown(about, reply.answers[-1]))
    return reply


def dimmed(place: str, *, dim: bool) -> Any:
    """A container for an answer, dimmed while a better one is on its way."""
    shade = "opacity: 0.55;" if dim else ""
    st.html(f"<style>.st-key-shown-{place} {{ {shade} }}</style>")
    return st.container(key=f"shown-{place}")


def _wait(errand: Errand, patience: float) -> None:
    """Wait for a first answer; whatever the visitor does meanwhile draws the page anew at once."""
    end = time.monotonic() + patience
    while errand.alive and not errand.answers and time.monotonic() < end:
        errand.wait(GLANCE)
        interruptible()


def progress(reply: Reply, doing: str) -> None:
    """While more answers may come: how far they are, and a button that stops them.

    Draws nothing once the errand has ended; the page is drawn again with each new answer.
    """
    errand = reply.errand
    if len(errand.answers) > len(reply.answers) or reply.alive != errand.alive:
        st.rerun()  # it has gone on while the page was drawn
    mark = abs(hash(errand.key))
    with st.container():  # always there, so that what stands below keeps its place on the page
        if reply.alive:
            _bar(errand, doing, mark)
        elif errand.stopped and reply.preview:
            st.caption("Stopped. What is shown is the answer so far.")
            forget = state.bench().forget
            st.button("Go on", key=f"go-on-{mark}", on_click=forget, args=(errand.key,))


def _bar(errand: Errand, doing: str, mark: int) -> None:
    """How far the next answer is, looked at again and again."""
    seen = len(errand.answers)

    @st.fragment(run_every=LOOK)
    def bar() -> None:
        memory.tidy()
        if not errand.alive or len(errand.answers) > seen:
            st.rerun()
        left, right = st.columns([5, 1], vertical_alignment="center")
        left.progress(min(max(errand.share, 0.0), 1.0), text=doing)
        right.button("Stop", key=f"stop-{mark}", on_click=errand.stop)

    bar()
