"""Charts: rows in, chart specifications out. Text of a case goes in as data only."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

import altair as alt

Rows = Sequence[Mapping[str, Any]]

READING = "Bar: planned. Dotted: float. Triangle: order or book by. Lines: days that matter."

MOST_ROWS = 400
"""More tasks than this are not drawn."""


def gantt(tasks: Rows, marks: Rows, *, title: str) -> Any:
    """Tasks as bars over time, their room as thin lines, booking days and milestones.

    Parameters
    ----------
    tasks
        ``task``, ``start``, ``finish`` (the morning after the last day), ``latest``, ``book`` (or
        none), ``kind`` (``critical`` or ``has float``); dates as ISO text, in the order of rows.
    marks
        ``day`` and ``mark``: days that matter, such as the machine's arrival.
    title
        Title of the chart.
    """
    shown = [dict(row) for row in tasks][:MOST_ROWS]
    order = [row["task"] for row in shown]
    base = alt.Chart(_inline(shown)).encode(
        y=alt.Y("task:N", sort=order, title=None, axis=alt.Axis(labelLimit=260))
    )
    layers = (_room(base), _bars(base), _bookings(base, shown), *_milestones(marks))
    return alt.layer(*layers).properties(
        title=alt.Title(title, subtitle=READING), width=760, height=alt.Step(18)
    )


def _inline(rows: Rows) -> Any:
    # The library gives no types for its data classes; charts are Any here.
    return alt.InlineData(values=[dict(row) for row in rows])


def _bars(base: Any) -> Any:
    kinds = ["critical", "has float"]
    return base.mark_bar(height=11, stroke="#202020").encode(
        x=alt.X("start:T", title=None, axis=alt.Axis(format="%d %b %Y", labelAngle=-40)),
        x2="finish:T",
        # Critical bars differ by border and darkness as well, so that they show without colour.
        color=alt.Color(
            "kind:N",
            title="task",
            scale=alt.Scale(domain=kinds, range=["#8a3b12", "#cfe0ec"]),
        ),
        strokeWidth=alt.StrokeWidth(
            "kind:N", title="task", scale=alt.Scale(domain=kinds, range=[1.6, 0.4])
        ),
        tooltip=["task:N", "start:T", "finish:T", "latest:T", "book:T", "kind:N"],
    )


def _room(base: Any) -> Any:
    return base.mark_rule(strokeWidth=1.2, strokeDash=[2, 2], color="#606060").encode(
        x="finish:T", x2="latest:T"
    )


def _bookings(base: Any, shown: Rows) -> Any:
    booked = [row for row in shown if row.get("book")]
    return (
        base.properties(data=_inline(booked))
        .mark_point(shape="triangle-right", size=55, filled=True, color="#101010")
        .encode(x="book:T")
    )


def _milestones(marks: Rows) -> tuple[Any, Any]:
    base = alt.Chart(_inline(marks)).encode(x="day:T")
    lines = base.mark_rule(strokeWidth=1.4, color="#303030")
    names = base.mark_text(angle=270, align="right", dx=-4, dy=-5, fontSize=10).encode(
        text="mark:N", y=alt.value(0)
    )
    return lines, names


def image(chart: Any, kind: str) -> bytes:
    """The chart as a file: ``svg``, ``png``, ``pdf``, or ``json`` for its specification.

    Raises
    ------
    ValueError
        Another kind.
    """
    import vl_convert  # noqa: PLC0415 - only for pictures

    text: str = chart.to_json()
    makers: Mapping[str, Callable[[], Any]] = {
        "svg": lambda: vl_convert.vegalite_to_svg(text).encode(),
        "png": lambda: vl_convert.vegalite_to_png(text, scale=2),
        "pdf": lambda: vl_convert.vegalite_to_pdf(text),
        "json": partial(text.encode, "utf-8"),
    }
    if kind not in makers:
        msg = f"'{kind}' is no kind of picture: use svg, png, pdf or json"
        raise ValueError(msg)
    return bytes(makers[kind]())
