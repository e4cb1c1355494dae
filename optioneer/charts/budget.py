"""Price against net present cost: the best that each budget buys, and packages beside it."""

from typing import Any

import altair as alt

from optioneer.charts import GREY, INK, Rows, inline, notes
from optioneer.charts.labels import with_labels

SHAPES = ("diamond", "circle", "square", "triangle-up", "cross", "triangle-down")
"""Shapes of packages in their order; the first is the advice."""


def budget_chart(points: Rows, packages: Rows, budget: float, *, currency: str) -> Any:
    """The least net present cost of each price as steps, packages as marks, a budget as a line.

    Marks are told apart by their shape, so that no name can cover another.

    Parameters
    ----------
    points
        ``price``, ``npc`` [money], by rising price.
    packages
        The same with ``package``, its name; the advice first.
    budget
        Where the handle stands [money].
    """
    shown = with_labels(packages, "package")
    names = [row["package"] for row in shown]
    scale = alt.Scale(zero=False, padding=12)
    x = alt.X("price:Q", title=f"price, {currency}", scale=scale, axis=_axis())
    y = alt.Y("npc:Q", title=f"net present cost, {currency}", scale=scale, axis=_axis())
    line = alt.Chart(inline(points)).mark_line(color=INK, interpolate="step-after")
    handle = alt.Chart(inline([{"price": budget}])).mark_rule(
        color=GREY, strokeWidth=3, strokeDash=[6, 4]
    )
    marks = (
        alt.Chart(inline(shown))
        .mark_point(filled=True, size=130, color=INK, opacity=1)
        .encode(
            x=x,
            y=y,
            shape=alt.Shape(
                "package:N",
                title=None,
                scale=alt.Scale(domain=names, range=_shapes(len(names))),
                legend=alt.Legend(orient="bottom", columns=2, labelLimit=0),
            ),
            tooltip=[
                *notes("package:N"),
                alt.Tooltip("price:Q", format=",.0f"),
                *notes("npc:Q"),
            ],
        )
    )
    layers = (handle.encode(x=x), line.encode(x=x, y=y), marks)
    return alt.layer(*layers).properties(height=240)


def _axis() -> Any:
    return alt.Axis(format="~s", tickCount=5)


def _shapes(count: int) -> list[str]:
    return [SHAPES[place % len(SHAPES)] for place in range(count)]
