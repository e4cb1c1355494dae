"""Which package the money and the site are asked for: the advised one, or one by name."""

import streamlit as st

from optioneer.app.engine.words import literal
from optioneer.app.session import advice_reply, state, waiting
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.package_choice import BASE, named_package
from optioneer.study.worth.packages import package_holding

ADVISED = ""
"""The choice of whatever is advised."""


def draw(case: Case) -> str:
    """Ask for a package; the same choice on every page."""
    names = {
        ADVISED: "The advised package",
        **{package.id: package.name or package.id for package in case.packages},
        BASE: "The standard machine",
    }
    key = f"package-{state.required_draft().id}"
    state.recall(key, names.__contains__)
    chosen = st.selectbox(
        "Package", list(names), format_func=names.__getitem__, key=key, persist_state="session"
    )
    state.note(key, str(chosen))
    return str(chosen)


def package(case: Case, chosen: str) -> tuple[Package | None, bool]:
    """The package of a choice, none while it is looked for, and whether that is final."""
    if chosen != ADVISED:
        return named_package(case, chosen), True
    reply = advice_reply.advice_asked(case, enough=advice_reply.FULL)
    advice: Advice | None = None if reply.stale else reply.answer
    if len(reply.answers) < advice_reply.FULL:
        waiting.progress(reply, advice_reply.under_way(case, reply))
    if advice is None:
        return None, False
    if len(reply.answers) < advice_reply.FULL:
        st.caption("The advised package of a preview; the full answer follows.")
    held = advice.advised.options
    return package_holding(case, "advised", held), len(reply.answers) >= advice_reply.FULL


def what_is_in(case: Case, ordered: Package) -> None:
    """What is ordered, in a line."""
    names = [case.catalogue.by_id[option].name for option in ordered.options]
    left = [case.catalogue.by_id[option].name for option in ordered.without]
    said = f"Ordered: {', '.join(names) or 'nothing beyond standard'}."
    st.caption(literal(f"{said} Left off: {', '.join(left)}." if left else said))
