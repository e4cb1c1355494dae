"""Before deciding: how much bad years weigh, a budget, how sure the answer is, break-evens."""

from functools import partial

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.amounts import amount_typed
from optioneer.app.parts import fold, show
from optioneer.app.session import state, waiting
from optioneer.errors import OptioneerError
from optioneer.model.case import Case
from optioneer.reports.advice.attitude import caution_parts
from optioneer.reports.advice.summary import close_calls, how_many, what_it_costs, what_to_order
from optioneer.reports.advice.tables import verdict_groups
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Paragraph
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.request import AdviceRequest, Aim


def draw(case: Case, figures: Figures) -> None:
    """Ask otherwise, and see what it changes; nothing is worked out before it is asked for."""
    with fold.under("Ask it otherwise: caution, a budget, certainty, break-evens", "otherwise"):
        asked = _request(case)
        wanted = st.toggle("Work it out", key="otherwise", help="Takes as long as the advice.")
        if asked is None or asked == AdviceRequest(case):
            st.caption("Move something above; then work it out.")
        elif wanted:
            _draw_answer(asked, figures)


def _request(case: Case) -> AdviceRequest | None:
    """What is asked; none where a figure is no figure."""
    draft = state.required_draft().id
    left, middle, right = st.columns(3)
    weight = left.slider(
        "How much the worst tenth of futures weighs",
        0,
        100,
        0,
        5,
        format="%d %%",
        key=f"weight-{draft}",
        persist_state="session",
    )
    typed = middle.text_input(
        f"At most so much with the order, {case.machine.currency}", key=f"limit-{draft}"
    )
    sure = right.selectbox("How sure", list(SURE), key=f"sure-{draft}", persist_state="session")
    turning = right.checkbox("Also say at which chance each verdict turns", key=f"even-{draft}")
    try:
        return AdviceRequest(
            case,
            weight=weight / 100 or None,
            budget=amount_typed(typed) if typed.strip() else None,
            aim=SURE[str(sure)],
            break_even=turning,
        )
    except OptioneerError as error:
        show.mistake(error)
        return None


SURE: dict[str, Aim | None] = {
    "as sure as the futures of the case make it": None,
    "the average to half a percent": Aim(0.005),
    "the average to a tenth of a percent": Aim(0.001),
    "until no call is close": Aim(),
}
"""How sure the answer shall be, in words."""


def _draw_answer(asked: AdviceRequest, figures: Figures) -> None:
    reply = waiting.reply_to(
        ("otherwise", repr(asked)),
        partial(cached.advice_otherwise, asked),
        place="otherwise",
        about=asked,
    )
    waiting.progress(reply, "Weighing every package as you asked")
    advice: Advice | None = reply.answer
    if advice is None:
        return
    case = reply.about.case
    with waiting.dimmed("otherwise", dim=reply.alive):
        show.show(Paragraph(what_to_order(case, advice, figures), strong=True))
        told = (what_it_costs(case, advice, figures), how_many(advice, figures))
        for sentence in filter(None, (*told, close_calls(case, advice))):
            show.show(Paragraph(sentence))
        show.page(caution_parts(case, advice, figures))
        for group in verdict_groups(case, advice, figures):
            show.show(group)
