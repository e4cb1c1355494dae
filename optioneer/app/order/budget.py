"""What a budget buys: price against net present cost, with a handle to move along it."""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from optioneer.app.engine.words import literal
from optioneer.app.parts import show
from optioneer.app.session import state
from optioneer.model.case import Case
from optioneer.reports.advice.tables import changes, frontier_table, package_name
from optioneer.reports.page.money import Figures
from optioneer.study.advice.answers import Advice, FrontierPoint

Mark = dict[str, Any]
"""A package: `package` (its name), `price`, `npc` [money]."""

FAR = 1.5
"""How far beyond the frontier a package is still drawn, in spans of the frontier."""


def draw(case: Case, advice: Advice, figures: Figures) -> None:
    """The handle, what it buys, and the picture; moving the handle draws nothing else anew."""

    @st.fragment
    def draw_again() -> None:
        _draw_parts(case, advice, figures)

    st.subheader("What a budget buys")
    draw_again()


def _draw_parts(case: Case, advice: Advice, figures: Figures) -> None:
    from optioneer.charts.budget import budget_chart  # noqa: PLC0415 - the advice stands before it

    left, right = st.columns([2, 3], gap="large")
    with left:
        point = _chosen(case, advice, figures)
    marks = [
        {"package": package_name(case, one.id), "price": one.price, "npc": one.npc}
        for one in (advice.advised, *advice.packages)
    ]
    frontier = with_advised(advice)
    points = [{"price": one.price, "npc": one.npc} for one in frontier]
    near, far = apart(marks, frontier)
    with right:
        chart = budget_chart(points, near, point.price, currency=advice.currency)
        show.charts(
            {"The least net present cost that each price buys, and packages by name.": chart},
            show.Behind((frontier_table(case, advice, figures),), "frontier"),
        )
        for mark in far:
            price, npc = figures.quoted(mark["price"]), figures.amount(mark["npc"])
            st.caption(literal(f"Beyond the picture: {mark['package']}, {price}, costs {npc} net."))


def apart(
    marks: Sequence[Mark], frontier: Sequence[FrontierPoint]
) -> tuple[list[Mark], list[Mark]]:
    """Packages that lie near the frontier, and those that would make it too small to read."""
    prices, costs = [one.price for one in frontier], [one.npc for one in frontier]
    most = max(prices) + FAR * (max(prices) - min(prices))
    dearest = max(costs) + FAR * (max(costs) - min(costs))
    near = [mark for mark in marks if mark["price"] <= most and mark["npc"] <= dearest]
    return near, [mark for mark in marks if mark not in near]


def _chosen(case: Case, advice: Advice, figures: Figures) -> FrontierPoint:
    """The best package at the price that the handle stands at, and what it is."""
    points = {point.price: point for point in with_advised(advice)}
    key = f"budget-{state.required_draft().id}-{advice.advised.price}"  # another advice, anew
    state.recall(key, points.__contains__)
    price = st.select_slider(
        "Best package for a budget of",
        list(points),
        value=advice.advised.price,
        format_func=figures.quoted,
        key=key,
        persist_state="session",
    )
    point = points[price]
    state.note(key, price)
    gap = point.npc - advice.advised.npc
    dearer = f"{figures.amount(abs(gap))} {'more' if gap >= 0 else 'less'} than the advice"
    st.markdown(
        f"It costs **{literal(figures.amount(point.npc))}** net over the years, {literal(dearer)}."
    )
    st.markdown(literal(against(case, advice, point)))
    return point


def with_advised(advice: Advice) -> tuple[FrontierPoint, ...]:
    """The frontier with the advised package on it.

    Where the worst futures weigh more, the advice lies beside what is best on average.
    """
    advised = _advised_point(advice)
    others = (point for point in advice.frontier if point.price != advised.price)
    return tuple(sorted((*others, advised), key=lambda point: point.price))


def _advised_point(advice: Advice) -> FrontierPoint:
    best = advice.advised
    return FrontierPoint(price=best.price, npc=best.npc, options=best.options)


def against(case: Case, advice: Advice, point: FrontierPoint) -> str:
    """What a package of the frontier adds to the advice and drops from it."""
    if set(point.options) == set(advice.advised.options):
        return "That is the advised package."
    return f"Against the advice: {changes(case, _advised_point(advice), point)}."
