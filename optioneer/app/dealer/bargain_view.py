"""How far to go with the dealer: what each option is worth with the order, what else to ask."""

from functools import partial

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.parts import show
from optioneer.app.session import waiting
from optioneer.model.case import Case
from optioneer.reports.asking.bargain import bargain_page
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading


def draw(case: Case, figures: Figures) -> None:
    """Worked out when asked for; then the same page as on paper."""
    st.subheader("How far to go with the dealer")
    help_ = "Looks at what each option is worth with the order; that takes a while."
    if not st.toggle("Work it out", key="bargain", help=help_):
        return
    reply = waiting.reply_to(
        ("bargain", cached.content(case)),
        partial(cached.dealings, case),
        place="bargain",
        about=case,
    )
    waiting.progress(reply, "Asking what each thing is worth")
    if reply.answer is not None:
        with waiting.dimmed("bargain", dim=reply.alive):
            page = bargain_page(reply.about, reply.answer, figures)
            show.page(tuple(part for part in page if not isinstance(part, Heading)))
