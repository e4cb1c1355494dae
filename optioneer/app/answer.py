"""The first page: what to order now, leave for a retrofit, leave off; price, cost, how sure."""

import streamlit as st

from optioneer.app import cached, show, state, waiting
from optioneer.app.words import PLANNING, literal
from optioneer.model.case import Case
from optioneer.reports.pages import advice_page
from optioneer.study.answers import Advice


def page() -> None:
    """The main answer."""
    read = state.read()
    if read.case is None:
        show.faults(
            read.faults,
            title="There is no advice while the case has faults. Mend them on the page 'The case'.",
        )
        return
    case = read.case
    errand = waiting.asked(
        ("advice", cached.content(case)),
        lambda told: cached.preview(case, told),
        lambda told: cached.advice(case, told),
    )
    advice = errand.answer
    if advice is not None:
        _shown(case, advice)
    waiting.progress(errand, f"Weighing every package on {case.growth.futures:,} futures")


def _shown(case: Case, advice: Advice) -> None:
    figures = state.figures(case.machine.currency)
    if advice.futures < case.growth.futures:
        st.caption(f"Preview on {advice.futures:,} futures; the full answer follows.")
    show.page(advice_page(case, advice, figures))
    st.caption(literal(PLANNING))
