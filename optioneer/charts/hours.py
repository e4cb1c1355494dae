"""Hours by year: needed against attended, and what one more is worth."""

from typing import Any

import altair as alt

from optioneer.charts import Rows, inline

HOURS_READING = (
    "Band: eight futures of ten. Line: the middle future. Dashed: attended hours. Below: what one "
    "more hour would earn."
)
"""How both pictures are read."""


EDGE = 60
"""Room for the figures of an axis [px], the same in both pictures so that years lie in line."""


def needed_chart(rows: Rows) -> Any:
    """Hours needed by year as a band with its middle, and the attended hours dashed.

    Parameters
    ----------
    rows
        One a year: `year`, `needed_low`, `needed`, `needed_high`, `attended` [hours/year].
    """
    base = _years(rows)
    attended = base.mark_line(strokeDash=[5, 4], color="black").encode(y=alt.Y("attended:Q"))
    drawn = alt.layer(*_band(base, "needed", "hours a year"), attended)
    return drawn.properties(height=200)


def worth_chart(rows: Rows, *, currency: str) -> Any:
    """What one more attended hour would earn by year, as a band with its middle.

    Parameters
    ----------
    rows
        One a year: `year`, `worth_low`, `worth`, `worth_high` [money/hour].
    """
    return alt.layer(*_band(_years(rows), "worth", f"one more, {currency}")).properties(height=130)


def _years(rows: Rows) -> Any:
    axis = alt.Axis(labelAngle=0)
    return alt.Chart(inline(rows)).encode(
        x=alt.X("year:O", title="year after first chips", axis=axis)
    )


def _band(base: Any, what: str, title: str) -> tuple[Any, Any]:
    told = [alt.Tooltip(f"{name}:Q") for name in (f"{what}_low", what, f"{what}_high")]
    band = base.mark_area(color="#d0d0d0").encode(
        y=alt.Y(f"{what}_low:Q", title=title, axis=alt.Axis(minExtent=EDGE, tickCount=5)),
        y2=alt.Y2(f"{what}_high:Q"),
    )
    line = base.mark_line(color="black", point=True).encode(
        y=alt.Y(f"{what}:Q"), tooltip=[alt.Tooltip("year:O"), *told]
    )
    return band, line
