"""Which figure moves the answer most, each alone over its usual range: a chart and its table."""

from functools import partial

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.parts import show
from optioneer.app.session import waiting
from optioneer.charts import ranges_chart
from optioneer.model.case import Case
from optioneer.reports.advice.sensitivity import one_at_a_time_page
from optioneer.reports.page.money import Figures
from optioneer.reports.rows import range_rows
from optioneer.study.whatif.answers import OneAtATime


def draw(case: Case, figures: Figures) -> None:
    """Weigh the ranges when asked to, then show them."""
    st.subheader("What moves it most")
    told = "Weighs what each figure touches at both ends of its range; that takes a while."
    if st.toggle("Weigh every figure", key="ranges", help=told):
        _draw_ranges(case, figures)


def _draw_ranges(case: Case, figures: Figures) -> None:
    reply = waiting.reply_to(
        ("ranges", cached.content(case)), partial(cached.ranges, case), place="ranges", about=case
    )
    waiting.progress(reply, "Weighing each figure at both ends of its range")
    answer: OneAtATime | None = reply.answer
    if answer is None:
        return
    case = reply.about
    rows = range_rows(case, answer, figures)
    told = one_at_a_time_page(case, answer, figures)
    if not rows:
        show.page(told)
        return
    drawn = ranges_chart(rows, answer.npc, currency=case.machine.currency)
    show.charts(
        {"How far each figure moves the net present cost, the widest first.": drawn},
        show.Behind(told, "ranges", "The table behind it, and the verdicts that turn"),
    )
