"""The first page: what to order now, leave for a retrofit, leave off; price, cost, how sure."""

import streamlit as st

from optioneer.app.engine.words import PAGES, PLANNING, literal
from optioneer.app.order import budget, headline, verdict_rows
from optioneer.app.parts import hours_view, missing_part, show, where_from
from optioneer.app.session import advice_reply, state, waiting
from optioneer.model.case import Case
from optioneer.reports.advice.attitude import unpaid_parts
from optioneer.reports.advice.finding_out import learning_table
from optioneer.reports.advice.pages import READING
from optioneer.reports.advice.summary import summary
from optioneer.reports.advice.tables import (
    packages_table,
    verdict_groups,
)
from optioneer.reports.page.cautions import cautions
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Page, Paragraph
from optioneer.study.advice.answers import Advice


def page() -> None:
    """The main answer."""
    read = state.read()
    if read.case is None:
        show.faults(read.faults, title="There is no advice before these are mended, on 'The case':")
        return
    reply = advice_reply.advice_asked(read.case)
    advice: Advice | None = reply.answer
    case: Case = reply.about
    st.title(literal(case.machine.name))
    if advice is not None:
        _said_of(case, advice, stale=reply.stale)
    waiting.progress(reply, advice_reply.under_way(case, reply))
    if advice is not None:
        few = advice.futures < case.growth.futures
        with waiting.dimmed("advice", dim=reply.alive and (few or reply.stale)):
            _draw_answer(case, advice)


def _said_of(case: Case, advice: Advice, *, stale: bool) -> None:
    """What the answer on the page is: a preview, the whole one, or one from before a change."""
    kind = ", a preview; the full answer follows" if advice.futures < case.growth.futures else ""
    if stale:
        kind = ", as it was before the last change; the new answer follows"
    st.caption(f"Weighed on {advice.futures:,} possible futures{kind}.")


def _draw_answer(case: Case, advice: Advice) -> None:
    figures = state.figures(case.machine.currency)
    where_from.warn_of_examples(case)
    headline.draw(case, advice, figures)
    st.subheader("Every option, and what choosing otherwise would cost")
    verdict_rows.draw(case, advice, figures, behind=_words(case, advice, figures))
    show.page(unpaid_parts(case, advice, figures))
    if advice.frontier:
        budget.draw(case, advice, figures)
    where_from.draw(case, figures)
    st.page_link(missing_part.to("questions"), label=f"{PAGES['questions']} before the order")
    show.show(packages_table(case, advice, figures))
    hours_view.draw(advice, figures)
    for part in learning_table(case, advice, figures):
        show.show(part)
    show.show(Bullets("Before you sign", cautions(case)))
    st.caption(literal(PLANNING))


def _words(case: Case, advice: Advice, figures: Figures) -> Page:
    """What the pictures say: first how sure it is, then option by option."""
    told = map(Paragraph, summary(case, advice, figures)[1:])
    return (*told, *verdict_groups(case, advice, figures), Paragraph(READING))
