"""How the outcome of packages is spread over the futures."""

from typing import Any

import altair as alt

from optioneer.charts import Rows, inline

PANEL = 64
"""Height of one package's panel [px]."""

BELOW = 0.4
"""Room below the bars for the marks, as a share of the tallest bar."""

SPREAD_READING = [
    "Bars: futures at each outcome. Line: eight futures of ten.",
    "Stroke: middle future. Dot: average. Diamond: worst tenth.",
]
"""How it is read, in lines that a phone has room for."""


def npc_chart(counted: Rows, marks: Rows, *, currency: str, title: str) -> Any:
    """How the outcome of each package is spread over the futures, a panel each on one scale.

    Shapes alone tell the marks apart, so that the chart reads in black and white.

    Parameters
    ----------
    counted
        Rows of `package`, `low`, `high` [money] and `futures`: how many come out between the two.
    marks
        One row a package: `package`, `low`, `middle`, `high` (one future in ten below, half, nine
        in ten), `mean`, `worst` [money].
    """
    top = max(float(row["futures"]) for row in counted)
    panels = [
        alt.layer(
            _heights([row for row in counted if row["package"] == mark["package"]], top),
            *_spread_marks([mark]),
        ).properties(
            title=alt.Title(str(mark["package"]), anchor="start", fontSize=11),
            width=700,
            height=PANEL,
        )
        for mark in marks
    ]
    head = alt.Title(f"{title}, {currency}", subtitle=SPREAD_READING)
    return (
        alt.vconcat(*panels, title=head, spacing=4)
        .resolve_scale(x="shared", y="shared")
        .configure_view(stroke=None)
    )


def _heights(rows: Rows, top: float) -> Any:
    scale = alt.Scale(domain=[-BELOW * top, top], nice=False)
    return (
        alt.Chart(inline(rows))
        .mark_rect(fill="#d0d0d0", stroke="#707070", strokeWidth=0.5)
        .encode(
            x=alt.X("low:Q", title=None, scale=alt.Scale(zero=False), axis=alt.Axis(format="~s")),
            x2=alt.X2("high:Q"),
            y=alt.Y("futures:Q", title=None, axis=None, scale=scale),
            y2=alt.Y2Datum(0),
            tooltip=[alt.Tooltip(each) for each in ("package:N", "low:Q", "high:Q", "futures:Q")],
        )
    )


def _spread_marks(mark: Rows) -> tuple[Any, ...]:
    base = alt.Chart(inline(mark)).encode(y=alt.value(PANEL * (1 - BELOW / (1 + BELOW) / 2)))
    points = (("mean", "circle", 60), ("worst", "diamond", 90))
    return (
        base.mark_rule(strokeWidth=2, color="black").encode(x=alt.X("low:Q"), x2=alt.X2("high:Q")),
        base.mark_tick(thickness=3, size=14, color="black").encode(x=alt.X("middle:Q")),
        *(
            base.mark_point(
                shape=shape, size=size, filled=True, fill="white", stroke="black"
            ).encode(
                x=alt.X(f"{what}:Q"),
                tooltip=[alt.Tooltip("package:N"), alt.Tooltip(f"{what}:Q", format=",.0f")],
            )
            for what, shape, size in points
        ),
    )
