"""The account under every way of paying on one axis, and what leaves it by month and kind."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from optioneer.charts import INK, Rows, inline, notes
from optioneer.charts.cash import KIND_COLOURS, to_the_cent

LINES = ("#1c8489", "#b08a1e", "#c2552d", "#8a6fc4", "#5a8f3c", "#7f8a93")
"""One colour a way of paying, each to be seen on a light ground and on a dark one."""

DASHES = ([1, 0], [7, 3], [2, 3], [9, 3, 2, 3], [4, 2], [1, 2])
"""One dash a way of paying, so that they differ without colour."""

EDGE = 68
"""Room for the figures of an axis [px], the same in both panels so that months lie in line."""

IN_TWO = (
    "length(datum.label) > 38"
    " ? split(replace(datum.label, regexp('^(.{20,38}) '), '$1\\n'), '\\n') : datum.label"
)
"""A long name in a legend stands on two lines: on a phone its end would be cut off."""

BESIDE = 22
"""Letters of the longest name below which two of them stand beside each other on a phone."""

AIR = 0.08
"""Room above and below the lines, as a share of what they span."""


def account_chart(
    left: Rows, lows: Rows, *, chosen: str, keep_above: float, currency: str, span: Sequence[str]
) -> Any:
    """The balance under every way of paying, with the lowest day of each as a numbered mark.

    Parameters
    ----------
    left
        ``way`` (its name), ``day`` (ISO date), ``balance`` [money].
    lows
        ``way``, ``day``, ``balance`` and ``mark``: its number in the list beside the chart.
    chosen
        Name of the way that is drawn strongest.
    keep_above
        The balance should not end a day below this [money].
    span
        First and last day (ISO dates) of both panels.
    """
    ways = list(dict.fromkeys(str(row["way"]) for row in left))
    balances = [float(row["balance"]) for row in left] + [keep_above]
    room = AIR * (max(balances) - min(balances) or 1.0)
    scale = alt.Scale(domain=[min(balances) - room, max(balances) + room], nice=False)
    y = alt.Y(
        "balance:Q",
        title=f"balance, {currency}",
        scale=scale,
        axis=alt.Axis(format="~s", minExtent=EDGE, maxExtent=EDGE),
    )
    zone = (
        alt.Chart(inline([{"low": min(balances) - room, "keep": keep_above}]))
        .mark_rect(color="#d0564a", opacity=0.13)
        .encode(y=alt.Y("low:Q", scale=scale), y2=alt.Y2("keep:Q"))
    )
    edge = alt.Chart(inline([{"keep": keep_above}])).mark_rule(color="#d0564a", strokeDash=[6, 4])
    layers = (
        zone,
        edge.encode(y=alt.Y("keep:Q")),
        _lines(left, ways, chosen, y, span),
        *_lows(lows, y),
    )
    return alt.layer(*layers).properties(height=300)


def _lines(left: Rows, ways: Sequence[str], chosen: str, y: Any, span: Sequence[str]) -> Any:
    """A step line a way of paying; the chosen one is thicker."""
    count = len(ways)
    beside = 2 if max(map(len, ways)) < BESIDE else 1
    legend = alt.Legend(
        orient="bottom", columns=beside, labelLimit=0, labelExpr=IN_TWO, symbolSize=400
    )
    colours = alt.Scale(domain=ways, range=[LINES[n % len(LINES)] for n in range(count)])
    dashes = alt.Scale(domain=ways, range=[DASHES[n % len(DASHES)] for n in range(count)])
    widths = [3.2 if way == chosen else 1.6 for way in ways]
    return (
        alt.Chart(inline(left))
        .mark_line(interpolate="step-after")
        .encode(
            x=days("day", span),
            y=y,
            color=alt.Color("way:N", title=None, scale=colours, legend=legend),
            strokeDash=alt.StrokeDash("way:N", title=None, scale=dashes, legend=legend),
            strokeWidth=alt.StrokeWidth(
                "way:N", scale=alt.Scale(domain=ways, range=widths), legend=None
            ),
            tooltip=[*notes("way:N", "day:T"), alt.Tooltip("balance:Q", format=",.0f")],
        )
    )


def days(field: str, span: Sequence[str]) -> Any:
    """The axis of days that both panels share."""
    return alt.X(
        f"{field}:T",
        title=None,
        scale=alt.Scale(domain=list(span)),
        axis=alt.Axis(format="%b %Y", labelOverlap="greedy", tickCount=8, labelFlush=True),
    )


def _lows(lows: Rows, y: Any) -> tuple[Any, Any]:
    base = alt.Chart(inline(lows)).encode(x=alt.X("day:T"), y=y)
    note = [*notes("way:N", "day:T"), alt.Tooltip("balance:Q", format=",.0f")]
    marks = base.mark_point(filled=True, size=60, color=INK, opacity=1).encode(tooltip=note)
    names = base.mark_text(dy=14, fontSize=13, fontWeight="bold", color=INK)
    return marks, names.encode(text=alt.Text("mark:N"))


def paid_chart(moved: Rows, *, most: float, currency: str, span: Sequence[str]) -> Any:
    """What one way of paying takes out of the account, by month and kind.

    Parameters
    ----------
    moved
        ``month`` (ISO date of its first day), ``kind``, ``amount`` [money]; money that comes back
        is below zero.
    most
        The most that any way takes in a month: the scale is the same for all of them [money].
    span
        First and last day (ISO dates) of both panels.
    """
    rows = [{**row, "kind": str(row["kind"]).replace("-", " ")} for row in moved]
    there = {str(row["kind"]) for row in rows}
    kinds = {kind.replace("-", " "): shade for kind, shade in KIND_COLOURS.items()}
    shown = [kind for kind in kinds if kind in there]
    least = min([0.0, *(float(row["amount"]) for row in rows)])
    return (
        alt.Chart(inline(rows))
        .mark_bar(size=6)
        .encode(
            x=days("month", span),
            y=alt.Y(
                "amount:Q",
                title=f"paid out, {currency}",
                stack=True,
                scale=alt.Scale(domain=[least, most], nice=True),
                axis=alt.Axis(format="~s", minExtent=EDGE, maxExtent=EDGE, tickCount=5),
            ),
            color=alt.Color(
                "kind:N",
                title=None,
                scale=alt.Scale(domain=shown, range=[kinds[kind] for kind in shown]),
                legend=alt.Legend(orient="bottom", columns=3),
            ),
            tooltip=["month:T", "kind:N", alt.Tooltip("amount:Q", format=to_the_cent(currency))],
        )
        .properties(height=180)
    )
