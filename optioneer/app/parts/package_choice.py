"""Which package the money and the site are asked for: the advised one, or one by name."""

from functools import partial

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.words import literal
from optioneer.app.session import state, waiting
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.ordered import BASE, named_package, package_holding

ADVISED = ""
"""The choice of whatever is advised."""


def draw(case: Case) -> str:
    """Ask for a package; the same choice on every page."""
    names = {
        ADVISED: "The advised package",
        **{package.id: package.name or package.id for package in case.packages},
        BASE: "The standard machine",
    }
    chosen = st.selectbox(
        "Package",
        list(names),
        format_func=names.__getitem__,
        key=f"package-{state.required_draft().id}",
        persist_state="session",
    )
    return str(chosen)


def package(case: Case, chosen: str) -> tuple[Package | None, bool]:
    """The package of a choice, none while it is looked for, and whether that is final."""
    if chosen != ADVISED:
        return named_package(case, chosen), True
    reply = waiting.asked(
        ("advised", cached.content(case)),
        partial(cached.preview, case),
        partial(cached.advice, case),
        patience=2.0,
    )
    advice: Advice | None = reply.answer
    waiting.progress(reply, f"Weighing every package on {case.growth.futures:,} futures")
    if advice is None:
        return None, False
    if reply.preview:
        st.caption("The advised package of a preview; the full answer follows.")
    return package_holding(case, "advised", advice.advised.options), not reply.preview


def what_is_in(case: Case, ordered: Package) -> None:
    """What is ordered, in a line."""
    names = [case.catalogue.by_id[option].name for option in ordered.options]
    left = [case.catalogue.by_id[option].name for option in ordered.without]
    said = f"Ordered: {', '.join(names) or 'nothing beyond standard'}."
    st.caption(literal(f"{said} Left off: {', '.join(left)}." if left else said))
