"""For the buyer: packages and quotes side by side, a package by hand, questions for the dealer."""

from functools import partial

import streamlit as st

from optioneer.app.dealer import bargain_view, dealer_list, own_package, quotes, request_view
from optioneer.app.engine import cached
from optioneer.app.parts import show
from optioneer.app.session import advice_reply, state, waiting
from optioneer.charts.spread import npc_chart
from optioneer.model.case import Case
from optioneer.reports.advice.compare import compare_page, count_rows, spread_marks, spread_table
from optioneer.reports.page.parts import Heading
from optioneer.study.advice.answers import Advice
from optioneer.study.compare.answers import Comparison
from optioneer.study.compare.currencies import Exchange


def page() -> None:
    """The matrix first, with what it comes to; then the request, then all side by side."""
    read = state.read()
    if read.case is None:
        show.faults(read.faults, title="Mend the case first, on the page 'The case'.")
        return
    case = read.case
    figures = state.figures(case.machine.currency)
    advice, current = _advice(case)
    show.show(Heading(f"{case.machine.name}: packages and quotes"))
    request_view.draw_first(case, figures)
    if advice is None:
        return
    others, exchange = quotes.draw(case)
    dealer_list.draw(case, figures)
    package = own_package.draw(case, advice, others, figures, current=current)
    if package is not None and current:
        advised = set(own_package.held_by(case, package)) == set(advice.advised.options)
        request_view.draw(case, package, advice if advised else None, figures)
    bargain_view.draw(case, figures)
    if exchange is not None:
        _side_by_side((case, *others), exchange)


def _advice(case: Case) -> tuple[Advice | None, bool]:
    """The full advice, and whether it is that on the case as it is, not as it was before."""
    reply = advice_reply.advice_asked(case, enough=advice_reply.FULL)
    if len(reply.answers) >= advice_reply.FULL:
        state.show_in("advice in full", state.Shown(case, reply.answer))
        return reply.answer, True
    waiting.progress(reply, advice_reply.under_way(case, reply))
    before = state.answer_shown("advice in full")
    return (None, False) if before is None else (before.answer, False)


def _side_by_side(cases: tuple[Case, ...], exchange: Exchange) -> None:
    """The advised package, the candidates of the case, and those of other quotes."""
    st.subheader("Side by side")
    reply = waiting.reply_to(
        ("compare", tuple(cached.content(each) for each in cases), repr(exchange)),
        partial(cached.comparison, cases, exchange, few=True),
        partial(cached.comparison, cases, exchange),
        place="compare",
        about=cases,
    )
    waiting.progress(reply, f"Refining on {cases[0].growth.futures:,} futures")
    answer: Comparison | None = reply.answer
    if answer is None:
        return
    cases = reply.about
    with waiting.dimmed("compare", dim=reply.alive):
        _draw_comparison(cases, answer, preview=reply.preview)


def _draw_comparison(cases: tuple[Case, ...], answer: Comparison, *, preview: bool) -> None:
    st.caption(f"On {answer.futures:,} futures{': a preview' if preview else ''}.")
    figures = state.figures(answer.currency)
    _, *parts = compare_page(cases, answer, figures)
    first, *rest = parts
    show.show(first)
    drawn = npc_chart(
        count_rows(cases, answer),
        spread_marks(cases, answer),
        currency=answer.currency,
        title="Outcome over the futures",
    )
    show.charts(
        {"How the outcome of each package is spread over the futures.": drawn},
        show.Behind((spread_table(cases, answer, figures),), "spread"),
    )
    show.page(tuple(part for part in rest if not isinstance(part, Heading)))
