"""The account with the machine in it, and what a lender sees: worked out when asked for."""

from functools import partial

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.parts import show
from optioneer.app.session import waiting
from optioneer.model.case import Case
from optioneer.reports.cash.account import account_parts
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading
from optioneer.reports.papers.bank import bank_page

ACCOUNT, LENDER = "The account with the machine in it", "What a lender wants to see"
"""What can be looked at."""


def draw(case: Case, package: str | None, plan: str, figures: Figures) -> None:
    """Choose one; then the same as on paper.

    Parameters
    ----------
    package
        Id of the package; none: the advised one.
    plan
        Id of the way of paying that a lender is shown.
    figures
        How money is said.
    """
    st.subheader("With the machine earning")
    wanted = st.segmented_control("Look at", [ACCOUNT, LENDER], key="lender")
    if wanted is None:
        st.caption("Choose one; it is worked out from the full answer.")
        return
    reply = waiting.asked(
        ("lender", cached.content(case), package, plan),
        partial(cached.with_the_machine, case, package, plan),
        place="lender",
        about=case,
    )
    waiting.progress(reply, "Working out the account with the machine in it")
    if reply.answer is None:
        return
    found, told, view = reply.answer
    page = account_parts(told.answer, figures)
    if wanted == LENDER:
        page = bank_page(found.case, told, view, figures)
    with waiting.dimmed("lender", dim=reply.alive):
        show.page(tuple(part for part in page if not isinstance(part, Heading)))
