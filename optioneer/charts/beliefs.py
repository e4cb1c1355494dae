"""What is believed of a figure, against the points at which verdicts turn."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from optioneer.charts import Rows, inline

COLOURS = ("#7f8a93", "#1c8489")
"""What the case says, and an answer."""

DASHES = ([5, 4], [1, 0])
"""Their edges: told apart without colour."""

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
    along = alt.X(
        "at:Q",
        title=None,
        scale=alt.Scale(zero=False, nice=True),
        axis=alt.Axis(format=form, grid=False, tickCount=6),
    )
    layers = [
        *(_shapes(shapes, along, whose) if shapes else ()),
        *(_certain(sure, along, whose) if sure else ()),
        *(_strokes(turns, along) if turns else ()),
    ]  # one without data would be an image that nothing is said of
    return alt.layer(*layers).properties(height=HEIGHT)


def _colour(whose: Sequence[str]) -> Any:
    legend = alt.Legend(
        orient="top", labelLimit=0, symbolType="square", symbolDash=[1, 0], symbolStrokeWidth=2
    )
    scale = alt.Scale(domain=list(whose), range=list(COLOURS[: len(whose)]))
    return alt.Color("whose:N", title=None, scale=scale, legend=legend)


def _shapes(shapes: Rows, along: Any, whose: Sequence[str]) -> tuple[Any, ...]:
    body = alt.Chart(inline(shapes)).encode(x=along, color=_colour(whose))
    dashes = alt.Scale(domain=list(whose), range=DASHES[: len(whose)])
    up = alt.Y("height:Q", axis=None, scale=alt.Scale(domain=[0, 1.25]), stack=None)
    return (
        body.mark_area(fillOpacity=0.25).encode(y=up),
        body.mark_line(strokeWidth=2.5).encode(
            y=up,
            order=alt.Order("order:Q"),
            strokeDash=alt.StrokeDash("whose:N", legend=None, scale=dashes),
        ),
    )


def _certain(sure: Rows, along: Any, whose: Sequence[str]) -> tuple[Any, ...]:
    rules = alt.Chart(inline(sure)).mark_rule(strokeWidth=4)
    return (rules.encode(x=along, color=_colour(whose), y=alt.value(40), y2=alt.value(HEIGHT)),)


def _strokes(turns: Rows, along: Any) -> tuple[Any, ...]:
    strokes = alt.Chart(inline(turns)).encode(x=along)
    marks = strokes.mark_text(fontSize=13, dx=4, align="left", fontWeight="bold", color="black")
    return (
        strokes.mark_rule(strokeWidth=2, strokeDash=[2, 2], color="#c2552d"),
        marks.encode(y=alt.value(10), text=alt.Text("mark:N")),
    )
