"""The first page: what to order now, leave for a retrofit, leave off; price, cost, how sure."""

from collections.abc import Collection

import streamlit as st

from optioneer.app.engine.words import PLANNING, SIGNS, literal
from optioneer.app.parts import show
from optioneer.app.session import advice_reply, state, waiting
from optioneer.charts.hours import hours_chart
from optioneer.model.case import Case
from optioneer.reports.advice.hours import hour_rows, hours_parts
from optioneer.reports.advice.learning import learning_table
from optioneer.reports.advice.pages import READING
from optioneer.reports.advice.summary import summary
from optioneer.reports.advice.tables import (
    KEEP,
    LEAVE,
    ORDER,
    RETROFITS,
    frontier_table,
    packages_table,
    verdict_groups,
)
from optioneer.reports.page.cautions import cautions
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Entries, Paragraph
from optioneer.study.advice.answers import Advice

SHAPES = {
    ORDER: SIGNS["order now"],
    KEEP: SIGNS["order now"],
    **dict.fromkeys(RETROFITS.values(), SIGNS["leave for retrofit"]),
    LEAVE: SIGNS["leave off"],
}
"""The shape of each group of verdicts."""


CLOSE = " (too close to call)"
"""Said of an option whose verdict could as well be another one."""


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
            _shown(case, advice)


def _said_of(case: Case, advice: Advice, *, stale: bool) -> None:
    """What the answer on the page is: a preview, the whole one, or one from before a change."""
    few = advice.futures < case.growth.futures
    kind = "a preview; the full answer follows" if few else f"seed {advice.seed}"
    if stale:
        kind = "as it was before the last change; the new answer follows"
    st.caption(f"On {advice.futures:,} futures, {kind}.")


def _shown(case: Case, advice: Advice) -> None:
    figures = state.figures(case.machine.currency)
    first, *others = summary(case, advice, figures)
    show.show(Paragraph(first, strong=True))
    _lists(case, advice, figures)
    for sentence in others:
        show.show(Paragraph(sentence))
    _reasons(case, advice, figures)
    show.show(packages_table(case, advice, figures))
    if advice.frontier:
        show.show(frontier_table(case, advice, figures))
    _hours(advice, figures)
    for part in learning_table(case, advice, figures):
        show.show(part)
    show.show(Bullets("Before you sign", cautions(case)))
    st.caption(literal(PLANNING))


def _hours(advice: Advice, figures: Figures) -> None:
    """Hours by year as a picture and a table, where they are limited."""
    rows = hour_rows(advice)
    if rows:
        show.chart(
            hours_chart(rows, currency=advice.currency),
            "Hours needed by year, hours there are, and what one more is worth.",
        )
        show.page(hours_parts(advice, figures))


def _lists(case: Case, advice: Advice, figures: Figures) -> None:
    """Three short lists side by side: the answer at a glance."""
    groups = {_title(group): group for group in verdict_groups(case, advice, figures)}
    close = {case.catalogue.by_id[each.option].name for each in advice.options if each.close_call}
    columns, lists = st.columns(3), ((ORDER, KEEP), tuple(RETROFITS.values()), (LEAVE,))
    for column, titles in zip(columns, lists, strict=True):
        with column.container(border=True):
            for title in titles:
                if title in groups:
                    _list(title, groups[title], close)


def _title(group: Entries) -> str:
    return group.title.rpartition(" (")[0]


def _list(title: str, group: Entries, close: Collection[str]) -> None:
    st.markdown(f"**{SHAPES[title]} {literal(group.title)}**")
    lines = [
        f"- {literal(each.name)}, {literal(each.figures[0])}{CLOSE if each.name in close else ''}"
        for each in group.entries
    ]
    st.markdown("\n".join(lines) or "None.")


def _reasons(case: Case, advice: Advice, figures: Figures) -> None:
    """Option by option: why, and what the other choice would cost."""
    st.subheader("Why, option by option")
    for group in verdict_groups(case, advice, figures):
        shape = SHAPES[_title(group)]
        show.show(Entries(f"{shape} {group.title}", group.heads, group.entries, group.foot))
    st.caption(literal(READING))
