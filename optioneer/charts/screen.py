"""Charts that are looked at in a browser."""

import json
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from typing import Any

import altair as alt
from altair.utils import schemapi

from optioneer.charts import UNCUT, Rows, as_given, inline, whole
from optioneer.charts.labels import with_labels

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
    told = [{**row, "told": f"{row['option']}, {row['at']}: {row['verdict']}"} for row in cells]
    base = alt.Chart(inline(with_labels(told, "option"))).encode(
        x=alt.X(
            "at:O",
            scale=as_given(order),
            title=along,
            axis=alt.Axis(labelAngle=0, labelOverlap="greedy", labelSeparation=4),
        ),
        y=alt.Y("option:N", title=None, sort=None, axis=UNCUT),
        # left alone the library makes an expression of the title of an axis
        description=alt.Description("told:N"),
    )
    scale = alt.Scale(domain=list(VERDICT_COLOURS), range=list(VERDICT_COLOURS.values()))
    below = alt.Legend(orient="bottom", columns=2, labelLimit=0)  # beside, a phone has no room left
    strips = base.mark_rect(stroke="#ffffff", strokeWidth=1).encode(
        color=alt.Color("verdict:N", title=None, scale=scale, legend=below),
        tooltip=[whole("option"), alt.Tooltip("at:O"), alt.Tooltip("verdict:N")],
    )
    dark = alt.datum.verdict == "order now"
    signs = base.mark_text(fontSize=13).encode(
        text=alt.Text("sign:N"),
        color=alt.condition(dark, alt.value("#fefefe"), alt.value("#1d2733")),
    )
    now = (
        alt.Chart(inline([{"at": here}]))
        .mark_rule(strokeWidth=2, strokeDash=[5, 4], color="#b3431e")
        .encode(x=alt.X("at:O", scale=as_given(order)))
    )
    return alt.layer(strips, signs, now).properties(height=alt.Step(24))


SHADES: Mapping[str, str] = {
    **dict.fromkeys(("black", "#101010", "#202020", "#303030"), "currentColor"),
    **dict.fromkeys(("#606060", "#707070"), "#7f8a93"),
    **dict.fromkeys(("#d0d0d0", "#d9d9d9", "#cfe0ec"), "rgba(127, 138, 147, 0.4)"),
    **dict.fromkeys(("white", "#ffffff"), "rgba(127, 138, 147, 0.12)"),
}
"""What the shades of paper become on a screen: the ink of the page, and greys for any ground."""

FACE = '"Source Sans", sans-serif'
"""The typeface of the pages."""

GRID = "rgba(127, 138, 147, 0.3)"
"""Lines of a chart that are there to be looked along."""

INKED: Mapping[str, Mapping[str, Any]] = {
    "axis": {
        "labelColor": "currentColor",
        "titleColor": "currentColor",
        "gridColor": GRID,
        "domainColor": GRID,
        "tickColor": GRID,
        "labelFontSize": 12,
        "titleFontSize": 12,
        "titleFontWeight": "normal",
    },
    "legend": {"labelColor": "currentColor", "titleColor": "currentColor", "labelFontSize": 12},
    "title": {"color": "currentColor", "subtitleColor": "currentColor", "anchor": "start"},
    "view": {"stroke": None},
}
"""Texts and lines in the ink of the page, whatever its theme."""


def trust() -> None:
    """Hold charts to their schema no more: it takes most of a drawing, and the tests do it."""
    schemapi.disable_debug_mode()


def on_screen(chart: Any) -> dict[str, Any]:
    """The specification of a chart for a page in a browser: it takes the theme of the page.

    The menu saves pictures and leads nowhere else; the picture is vector graphics, so that its
    texts can be read by machines and print sharply, and so that its ink is that of the page.
    """
    menu = {
        "export": {"svg": True, "png": True},
        "source": False,
        "compiled": False,
        "editor": False,
    }
    spec: dict[str, Any] = in_screen_shades(chart.to_dict(validate=schemapi.DEBUG_MODE))
    return {
        **spec,
        "usermeta": {"embedOptions": {"actions": menu, "renderer": "svg"}},
        "background": "transparent",
        "padding": dict.fromkeys(("left", "right", "top", "bottom"), 4),
        "config": {**INKED, "font": FACE},
    }


MOST_KEPT = 32
"""Specifications that are kept."""


def on_screen_once(draw: Callable[..., Any], *rows: Rows, **words: str) -> dict[str, Any]:
    """The specification of `draw(*rows, **words)` for a page, kept for who draws the same again.

    A page is drawn anew at each click, and the library copies a chart again and again.
    """
    spec: dict[str, Any] = json.loads(_kept(draw, json.dumps(rows), tuple(words.items())))
    return spec


@lru_cache(MOST_KEPT)
def _kept(draw: Callable[..., Any], rows: str, words: tuple[tuple[str, str], ...]) -> str:
    return json.dumps(on_screen(draw(*json.loads(rows), **dict(words))))


def in_screen_shades(spec: Any) -> Any:
    """A specification with its shades of paper turned into those of a screen; data stay."""
    if isinstance(spec, dict):
        return {
            key: inner if key in {"data", "datasets", "domain"} else in_screen_shades(inner)
            for key, inner in spec.items()
        }
    if isinstance(spec, list):
        return [in_screen_shades(inner) for inner in spec]
    return SHADES.get(spec, spec) if isinstance(spec, str) else spec
