"""Charts that are looked at in a browser."""

from collections.abc import Mapping, Sequence
from typing import Any

import altair as alt

from optioneer.charts import UNCUT, Rows, as_given, inline, whole
from optioneer.charts.labels import labelled

VERDICT_COLOURS: Mapping[str, str] = {
    "order now": "#0f5c63",
    "leave for a retrofit": "#c9b458",
    "leave off": "#d9dee2",
}
"""Ground of each verdict; each also has a shape of its own, written on it."""


def turning_chart(cells: Rows, *, order: Sequence[str], here: str, along: str) -> Any:
    """The verdict on each option at each value of a figure: a strip an option.

    Parameters
    ----------
    cells
        Rows of `option`, `at` (text of the value), `verdict`, `sign` (its shape).
    order
        Values as texts, rising.
    here
        The value nearest to what the case says.
    along
        What the values are of.
    """
    base = alt.Chart(inline(labelled(cells, "option"))).encode(
        x=alt.X("at:O", scale=as_given(order), title=along, axis=alt.Axis(labelAngle=0)),
        y=alt.Y("option:N", title=None, sort=None, axis=UNCUT),
    )
    scale = alt.Scale(domain=list(VERDICT_COLOURS), range=list(VERDICT_COLOURS.values()))
    strips = base.mark_rect(stroke="#ffffff", strokeWidth=1).encode(
        color=alt.Color("verdict:N", title="verdict", scale=scale),
        tooltip=[whole("option"), "at:O", "verdict:N"],
    )
    dark = alt.datum.verdict == "order now"
    signs = base.mark_text(fontSize=13).encode(
        text="sign:N", color=alt.condition(dark, alt.value("#ffffff"), alt.value("#1d2733"))
    )
    now = (
        alt.Chart(inline([{"at": here}]))
        .mark_rule(strokeWidth=2, strokeDash=[5, 4], color="#b3431e")
        .encode(x=alt.X("at:O", scale=as_given(order)))
    )
    return alt.layer(strips, signs, now).properties(height=alt.Step(24))


INK, GREY = "#1d2733", "#808080"
"""Texts and lines of a chart on its light ground, whatever the page around it looks like."""


def on_screen(chart: Any) -> Any:
    """The chart for a page in a browser: on a light ground in any theme, with a menu that saves it.

    The menu saves pictures and leads nowhere else; the picture is vector graphics, so that its
    texts can be read by machines and print sharply.
    """
    menu = {
        "export": {"svg": True, "png": True},
        "source": False,
        "compiled": False,
        "editor": False,
    }
    embedded = {"embedOptions": {"actions": menu, "renderer": "svg"}}
    room = dict.fromkeys(("left", "right", "top", "bottom"), 8)
    inked = (
        chart.configure_axis(
            labelColor=INK, titleColor=INK, gridColor="#dddddd", domainColor=GREY, tickColor=GREY
        )
        .configure_legend(labelColor=INK, titleColor=INK)
        .configure_title(color=INK, subtitleColor=INK)
    )
    return inked.properties(usermeta=embedded, background="#ffffff", padding=room)
