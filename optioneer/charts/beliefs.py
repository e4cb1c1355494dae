"""What is believed of a figure, against the points at which verdicts turn."""

from typing import Any

import altair as alt

from optioneer.charts import Rows, inline

COLOURS = ("#7f8a93", "#1c8489")
"""What the case says, and an answer."""

HEIGHT = 190
"""Height of the picture [px]."""


def beliefs_chart(shapes: Rows, sure: Rows, turns: Rows, *, names: Rows, form: str) -> Any:
    """Beliefs as shapes over a figure, the surer the higher; where verdicts turn as strokes.

    Parameters
    ----------
    shapes
        Corners of each shape in order: `whose`, `at`, `height`.
    sure
        What is certain: `whose`, `at`.
    turns
        Where verdicts turn: `at` and `mark`, the number under which that is told.
    names
        `whose`, the case first.
    form
        How the figure is written along the axis, e.g. ``.0%``.
    """
    whose = [row["whose"] for row in names]
    colour = alt.Color(
        "whose:N",
        title=None,
        scale=alt.Scale(domain=whose, range=list(COLOURS[: len(whose)])),
        legend=alt.Legend(
            orient="top", labelLimit=0, symbolType="square", symbolDash=[1, 0], symbolStrokeWidth=2
        ),
    )
    dash = alt.StrokeDash(
        "whose:N", legend=None, scale=alt.Scale(domain=whose, range=[[5, 4], [1, 0]][: len(whose)])
    )
    along = alt.X(
        "at:Q",
        title=None,
        scale=alt.Scale(zero=False, nice=True),
        axis=alt.Axis(format=form, grid=False, tickCount=6),
    )
    up = alt.Y("height:Q", axis=None, scale=alt.Scale(domain=[0, 1.25]))
    body = alt.Chart(inline(shapes))
    fills = body.mark_area(fillOpacity=0.25).encode(
        x=along, y=alt.Y("height:Q", axis=None, stack=None), color=colour
    )
    edges = body.mark_line(strokeWidth=2.5).encode(
        x=along, y=up, color=colour, strokeDash=dash, order="order:Q"
    )
    points = (
        alt.Chart(inline(sure))
        .mark_rule(strokeWidth=4)
        .encode(x=along, color=colour, y=alt.datum(0), y2=alt.datum(1))
    )
    strokes = alt.Chart(inline(turns)).encode(x=along)
    rule = strokes.mark_rule(strokeWidth=2, strokeDash=[2, 2], color="#c2552d")
    marks = strokes.mark_text(fontSize=13, dx=9, fontWeight="bold", color="black").encode(
        y=alt.value(10), text="mark:N"
    )
    return alt.layer(fills, edges, points, rule, marks).properties(height=HEIGHT)
