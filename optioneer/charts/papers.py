"""Charts of papers: made to be printed, so that shades and shapes alone tell things apart."""

from typing import Any

import altair as alt

from optioneer.charts import MOST_ROWS, Rows, as_given, inline, keep_line

INK, GREY, PALE = "#202020", "#707070", "#d9d9d9"
"""Shades that stay apart in black and white."""

UPRIGHT = {
    "font": "sans-serif",
    "axis": {"labelFontSize": 11, "titleFontSize": 11},
    "padding": {"left": 40, "right": 12, "top": 6, "bottom": 6},  # fonts elsewhere may be wider
}


def otherwise_chart(rows: Rows, *, currency: str) -> Any:
    """What the other choice would cost, an option a bar, with two standard errors to each side.

    Parameters
    ----------
    rows
        ``option`` (its name), ``cost``, ``low``, ``high`` [money], dearest first.
    currency
        ISO 4217 code, for the axis.
    """
    shown = [dict(row) for row in rows][:MOST_ROWS]
    order = [row["option"] for row in shown]
    base = alt.Chart(inline(shown)).encode(
        y=alt.Y("option:N", scale=as_given(order), title=None, axis=alt.Axis(labelLimit=300))
    )
    title = f"what the other choice would cost, {currency}"
    bars = base.mark_bar(height=9, color=PALE, stroke=INK, strokeWidth=0.7).encode(
        x=alt.X("cost:Q", title=title, axis=alt.Axis(format="~s"))
    )
    errors = base.mark_rule(color=INK, strokeWidth=1.6).encode(x="low:Q", x2="high:Q")
    return _plain(alt.layer(bars, errors).properties(width=430, height=alt.Step(15)))


def spread_chart(rows: Rows, *, currency: str) -> Any:
    """Net present cost of packages: one in ten below to one in ten above, the average, the tail.

    Parameters
    ----------
    rows
        ``package`` (its name), ``p10``, ``p90``, ``mean``, ``worst`` [money].
    currency
        ISO 4217 code, for the axis.
    """
    order = [row["package"] for row in rows]
    base = alt.Chart(inline(rows)).encode(
        y=alt.Y("package:N", scale=as_given(order), title=None, axis=alt.Axis(labelLimit=260))
    )
    axis = alt.X(
        "p10:Q",
        title=f"net present cost, {currency}",
        scale=alt.Scale(zero=False),
        axis=alt.Axis(format="~s"),
    )
    ranges = base.mark_rule(color=GREY, strokeWidth=5).encode(x=axis, x2="p90:Q")
    means = base.mark_point(filled=True, size=70, color=INK, opacity=1).encode(x="mean:Q")
    tails = base.mark_point(shape="triangle-right", size=60, color=INK).encode(x="worst:Q")
    return _plain(alt.layer(ranges, means, tails).properties(width=430, height=alt.Step(20)))


def frontier_chart(points: Rows, packages: Rows, *, currency: str) -> Any:
    """The least net present cost that each price buys, and packages beside it.

    Parameters
    ----------
    points
        ``price``, ``npc`` [money], by rising price.
    packages
        The same with ``package``, its name.
    currency
        ISO 4217 code, for the axes.
    """
    x = alt.X(
        "price:Q",
        title=f"price, {currency}",
        scale=alt.Scale(zero=False),
        axis=alt.Axis(format="~s"),
    )
    y = alt.Y(
        "npc:Q",
        title=f"net present cost, {currency}",
        scale=alt.Scale(zero=False),
        axis=alt.Axis(format="~s"),
    )
    line = alt.Chart(inline(points)).mark_line(color=INK, interpolate="step-after")
    own = alt.Chart(inline(packages))
    dots = own.mark_point(filled=True, size=60, color=INK, opacity=1).encode(x=x, y=y)
    names = own.mark_text(align="left", dx=7, dy=-5, color=INK, fontSize=10)
    layers = (line.encode(x=x, y=y), dots, names.encode(x=x, y=y, text="package:N"))
    return _plain(alt.layer(*layers).properties(width=520, height=200))


def balance_chart(left: Rows, *, currency: str, keep_above: float) -> Any:
    """The balance of the account under one plan, with what to keep as a dashed line.

    Parameters
    ----------
    left
        ``day`` (ISO date), ``balance`` [money].
    currency
        ISO 4217 code, for the axis.
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


def _plain(chart: Any) -> Any:
    return chart.configure(**UPRIGHT).configure_view(stroke=None)
