"""The account in the futures: where eight of ten lie month by month, against what to keep."""

from collections.abc import Sequence
from typing import Any

import altair as alt

from optioneer.charts import INK, Rows, inline
from optioneer.charts.account import AIR, EDGE, days

BANDS_READING = (
    "Band: eight futures of ten at the end of each month. Line: the middle future. Red: below what "
    "to keep. Expected, not contracted."
)
"""How the pictures are read."""


def ends_of(rows: Rows, keep_above: float) -> tuple[float, float]:
    """The least and the most that pictures of these rows must show, with room [money]."""
    every = [float(row[end]) for row in rows for end in ("low", "high")] + [keep_above]
    room = AIR * (max(every) - min(every) or 1.0)
    return min(every) - room, max(every) + room


def balance_band(rows: Rows, *, ends: tuple[float, float], keep_above: float, currency: str) -> Any:
    """The balance under one way of paying, as a band with its middle.

    Parameters
    ----------
    rows
        ``month`` (ISO date of its first day), ``low``, ``middle``, ``high`` [money].
    ends
        Of the axis, the same for all ways.
    keep_above
        The balance should not fall below this [money].
    currency
        ISO 4217 code, for the axis.
    """
    scale = alt.Scale(domain=list(ends), nice=False)
    axis = alt.Axis(format="~s", minExtent=EDGE, maxExtent=EDGE, tickCount=5)
    title = f"balance, {currency}"
    zone = (
        alt.Chart(inline([{"low": ends[0], "keep": keep_above}]))
        .mark_rect(color="#d0564a", opacity=0.13)
        .encode(y=alt.Y("low:Q", scale=scale, axis=axis, title=title), y2=alt.Y2("keep:Q"))
    )
    edge = alt.Chart(inline([{"keep": keep_above}])).mark_rule(color="#d0564a", strokeDash=[6, 4])
    return alt.layer(zone, edge.encode(y=alt.Y("keep:Q")), *_band(rows, scale)).properties(
        height=190
    )


def _band(rows: Rows, scale: Any) -> Sequence[Any]:
    span = (str(rows[0]["month"]), str(rows[-1]["month"]))
    base = alt.Chart(inline(rows)).encode(x=days("month", span))
    told = [alt.Tooltip(f"{one}:Q", format=",.0f") for one in ("low", "middle", "high")]
    band = base.mark_area(color="#1c8489", opacity=0.35, interpolate="step-after").encode(
        y=alt.Y("low:Q", scale=scale), y2=alt.Y2("high:Q")
    )
    middle = base.mark_line(color=INK, strokeWidth=2, interpolate="step-after")
    return band, middle.encode(
        y=alt.Y("middle:Q", scale=scale), tooltip=[alt.Tooltip("month:T"), *told]
    )
