"""Charts: rows in, chart specifications out. Text of a case goes in as data only.

Everywhere `currency` is the ISO 4217 code that stands at the axes of money. Channels are written
out (`alt.X("day:T")`): for each that is not, the library hashes its whole schema.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

import pandas as pd  # noqa: F401 - altair takes one that another thread has half imported for whole

# isort: split
import altair as alt

from optioneer.charts.labels import FULL, drawable, with_labels

Rows = Sequence[Mapping[str, Any]]

READING = "Bar: planned. Dotted: float. Triangle: order or book by. Lines: days that matter."

MOST_ROWS = 400
"""More tasks than this are not drawn."""

UNCUT = alt.Axis(labelLimit=0)
"""An axis whose labels are short already."""


def whole(key: str) -> Any:
    """The whole name behind a short label, for the note at the pointer."""
    return alt.Tooltip(f"{FULL}:N", title=key)


def notes(*columns: str) -> list[Any]:
    """Columns as they stand, for the note at the pointer."""
    return [alt.Tooltip(column) for column in columns]


def gantt(tasks: Rows, marks: Rows, *, title: str) -> Any:
    """Tasks as bars over time, their room as thin lines, booking days and milestones.

    Parameters
    ----------
    tasks
        ``task``, ``start``, ``finish`` (the morning after the last day), ``latest``, ``book`` (or
        none), ``kind`` (``critical``, ``has float`` or ``at
        the earliest``); dates as ISO text, in the order of rows.
    marks
        ``day`` and ``mark``: days that matter, such as the machine's arrival.
    """
    shown = with_labels(tasks[:MOST_ROWS], "task")
    base = _by_name(shown, "task")
    layers = (_room(base), _bars(base), _bookings(base, shown), *_milestones(marks))
    return alt.layer(*layers).properties(
        title=alt.Title(title, subtitle=READING), width=760, height=alt.Step(18)
    )


def as_given(names: Sequence[Any]) -> Any:
    """The order of rows as a domain: a sort by names would put them into an expression."""
    return alt.Scale(domain=list(dict.fromkeys(names)))


class _Data(alt.InlineData):
    """Rows that no copy of a chart copies: the library copies whole charts at every step."""

    def __deepcopy__(self, memo: object = None) -> "_Data":
        return self


def inline(rows: Rows) -> Any:
    """Rows as data inside a chart."""
    return _Data(values=[dict(row) for row in rows])


def _bars(base: Any) -> Any:
    kinds = ["critical", "has float", "at the earliest"]
    return base.mark_bar(height=11, stroke="#202020").encode(
        x=alt.X("start:T", title=None, axis=alt.Axis(format="%d %b %Y", labelAngle=-40)),
        x2=alt.X2("finish:T"),
        # Critical bars differ by border and darkness as well, so that they show without colour.
        color=alt.Color(
            "kind:N",
            title="task",
            scale=alt.Scale(domain=kinds, range=["#8a3b12", "#cfe0ec", "#ffffff"]),
        ),
        strokeWidth=alt.StrokeWidth(
            "kind:N", title="task", scale=alt.Scale(domain=kinds, range=[1.6, 0.4, 0.8])
        ),
        tooltip=[whole("task"), *notes("start:T", "finish:T", "latest:T", "book:T", "kind:N")],
    )


def _room(base: Any) -> Any:
    return base.mark_rule(strokeWidth=1.2, strokeDash=[2, 2], color="#606060").encode(
        x=alt.X("finish:T"), x2=alt.X2("latest:T")
    )


def _bookings(base: Any, shown: Rows) -> Any:
    booked = [row for row in shown if row.get("book")]
    return (
        base.properties(data=inline(booked))
        .mark_point(shape="triangle-right", size=55, filled=True, color="#101010")
        .encode(x=alt.X("book:T"))
    )


def _milestones(marks: Rows) -> tuple[Any, Any]:
    base = alt.Chart(inline(marks)).encode(x=alt.X("day:T"))
    lines = base.mark_rule(strokeWidth=1.4, color="#303030")
    names = base.mark_text(angle=270, align="right", dx=-4, dy=-5, fontSize=10).encode(
        text=alt.Text("mark:N"), y=alt.value(0)
    )
    return lines, names


INK, GREY, PALE = "#202020", "#707070", "#d9d9d9"
"""Shades that stay apart in black and white."""

UPRIGHT = {
    "font": "sans-serif",
    "axis": {"labelFontSize": 11, "titleFontSize": 11},
    "padding": {"left": 40, "right": 12, "top": 6, "bottom": 6},  # fonts elsewhere may be wider
}


def otherwise_chart(rows: Rows, *, currency: str) -> Any:
    """What the other choice would cost, an option a bar, with its 95 % interval.

    Parameters
    ----------
    rows
        ``option`` (its name), ``cost``, ``low``, ``high`` [money], dearest first.
    """
    base = _by_name(with_labels(rows[:MOST_ROWS], "option"), "option")
    title = f"what the other choice would cost, {currency}"
    bars = base.mark_bar(height=9, color=PALE, stroke=INK, strokeWidth=0.7).encode(
        x=alt.X("cost:Q", title=title, axis=alt.Axis(format="~s"))
    )
    errors = base.mark_rule(color=INK, strokeWidth=1.6).encode(
        x=alt.X("low:Q"), x2=alt.X2("high:Q")
    )
    return _plain(alt.layer(bars, errors).properties(width=430, height=alt.Step(15)))


def spread_chart(rows: Rows, *, currency: str) -> Any:
    """Outcome of packages: one in ten below to one in ten above, the average, the tail.

    Parameters
    ----------
    rows
        ``package`` (its name), ``p10``, ``p90``, ``mean``, ``worst`` [money].
    """
    base = _by_name(with_labels(rows, "package"), "package")
    axis = alt.X("p10:Q", **_money(f"outcome: earned less paid, {currency}"))
    ranges = base.mark_rule(color=GREY, strokeWidth=5).encode(x=axis, x2=alt.X2("p90:Q"))
    means = base.mark_point(filled=True, size=70, color=INK, opacity=1).encode(x=alt.X("mean:Q"))
    tails = base.mark_point(shape="triangle-left", size=60, color=INK).encode(x=alt.X("worst:Q"))
    return _plain(alt.layer(ranges, means, tails).properties(width=430, height=alt.Step(20)))


def frontier_chart(points: Rows, packages: Rows, *, currency: str) -> Any:
    """The least net present cost that each price buys, and packages beside it.

    Parameters
    ----------
    points
        ``price``, ``npc`` [money], by rising price.
    packages
        The same with ``package``, its name.
    """
    x = alt.X("price:Q", **_money(f"price, {currency}"))
    y = alt.Y("npc:Q", **_money(f"net present cost, {currency}"))
    line = alt.Chart(inline(points)).mark_line(color=INK, interpolate="step-after")
    own = alt.Chart(inline(packages))
    dots = own.mark_point(filled=True, size=60, color=INK, opacity=1).encode(x=x, y=y)
    names = own.mark_text(align="left", dx=7, dy=-5, color=INK, fontSize=10)
    layers = (line.encode(x=x, y=y), dots, names.encode(x=x, y=y, text=alt.Text("package:N")))
    return _plain(alt.layer(*layers).properties(width=520, height=200))


def balance_chart(left: Rows, *, currency: str, keep_above: float) -> Any:
    """The balance of the account under one plan, with what to keep as a dashed line.

    Parameters
    ----------
    left
        ``day`` (ISO date), ``balance`` [money].
    keep_above
        The balance should not end a day below this [money].
    """
    line = (
        alt.Chart(inline(left))
        .mark_line(interpolate="step-after", color=INK)
        .encode(
            x=alt.X("day:T", title=None),
            y=alt.Y("balance:Q", title=f"balance, {currency}", axis=alt.Axis(format="~s")),
        )
    )
    return _plain(alt.layer(keep_line(keep_above), line).properties(width=560, height=170))


def _by_name(rows: Rows, key: str) -> Any:
    """Rows below one another in their order, each by its name."""
    order = as_given([row[key] for row in rows])
    return alt.Chart(inline(rows)).encode(y=alt.Y(f"{key}:N", scale=order, title=None, axis=UNCUT))


def _money(title: str) -> dict[str, Any]:
    """How an axis of money looks that need not begin at nothing."""
    return {"title": title, "scale": alt.Scale(zero=False), "axis": alt.Axis(format="~s")}


def _plain(chart: Any) -> Any:
    return chart.configure(**UPRIGHT).configure_view(stroke=None)


def ranges_chart(rows: Rows, here: float, *, currency: str) -> Any:
    """How far each figure moves a cost from where it is, at both ends of the figure's range.

    Parameters
    ----------
    rows
        ``figure``, ``end`` (``low`` or ``high``), ``cost`` [money] and ``value`` (text), two rows
        a figure in the order of the bars.
    here
        The cost with all figures as in the case [money].
    """
    rows = with_labels(rows, "figure")
    base = _by_name(rows, "figure").encode(
        x=alt.X("cost:Q", title=f"net present cost, {currency}", scale=alt.Scale(zero=False)),
        x2=alt.X2Datum(here),
        # Light and dark differ without colour, and the value stands at the end of each bar.
        color=alt.Color(
            "end:N",
            title="figure at its",
            sort=["low", "high"],
            scale=alt.Scale(domain=["low", "high"], range=["#ffffff", "#7f7f7f"]),
        ),
        tooltip=[whole("figure"), *notes("end:N", "value:N"), alt.Tooltip("cost:Q", format=",.0f")],
    )
    bars = base.mark_bar(height=13, stroke="#101010", strokeWidth=0.9)
    line = alt.Chart(inline([{"here": here}])).mark_rule(color="#101010").encode(x=alt.X("here:Q"))
    title = alt.Title(
        "What moves the net present cost of the advised package",
        subtitle="Bar: the figure at one end of its range. Line: all as in the case.",
    )
    told = [_end_values(rows, side, here) for side in ("right", "left")]
    return alt.layer(bars, line, *told).properties(title=title, width=620, height=alt.Step(24))


def _end_values(rows: Rows, side: str, here: float) -> Any:
    """The values at the ends of the bars that go to one side."""
    shown = [row for row in rows if (row["cost"] >= here) == (side == "right")]
    left = side == "right"
    base = _by_name(shown or rows[:0], "figure")
    text = base.mark_text(align="left" if left else "right", dx=4 if left else -4, fontSize=10)
    return text.encode(x=alt.X("cost:Q"), text=alt.Text("value:N"))


def shares_chart(rows: Rows) -> Any:
    """Which share of a variance each figure explains, alone and together with others.

    Parameters
    ----------
    rows
        ``figure``, ``alone``, ``total``, ``least``, ``most`` (shares), in the order of the bars.
    """
    base = _by_name(with_labels(rows, "figure"), "figure")
    axis = alt.Axis(format="%")
    total = base.mark_bar(height=13, fill="#ffffff", stroke="#101010", strokeWidth=0.9).encode(
        x=alt.X("total:Q", title="share of the variance explained", axis=axis),
        tooltip=[
            whole("figure"),
            *(alt.Tooltip(f"{key}:Q", format=".1%") for key in ("alone", "total")),
        ],
    )
    alone = base.mark_bar(height=13, fill="#7f7f7f", stroke="#101010", strokeWidth=0.9)
    interval = base.mark_rule(strokeWidth=1.6, color="#101010").encode(
        x=alt.X("least:Q"), x2=alt.X2("most:Q")
    )
    title = alt.Title(
        "What explains how the net present cost of the advised package varies",
        subtitle="Grey: alone. White: with others. Line: 95 % interval of the latter.",
    )
    return alt.layer(total, alone.encode(x=alt.X("alone:Q")), interval).properties(
        title=title, width=620, height=alt.Step(22)
    )


def image(chart: Any, kind: str) -> bytes:
    """The chart as a file: ``svg``, ``png``, ``pdf``, or ``json`` for its specification.

    Raises
    ------
    ValueError
        Another kind.
    """
    import vl_convert  # noqa: PLC0415 - only for pictures

    text = json.dumps(drawable(chart.to_dict()), indent=2, sort_keys=True)
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


def keep_line(limit: float) -> Any:
    """A dashed line across a chart of the account: no day should end below `limit` [money]."""
    return (
        alt.Chart(inline([{"keep": limit}]))
        .mark_rule(color="#922b21", strokeDash=[6, 4])
        .encode(y=alt.Y("keep:Q"))
    )
