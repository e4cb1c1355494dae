"""Hours by year: needed against attended, and what one more is worth."""

from typing import Any

import altair as alt

from optioneer.charts import Rows, inline

HOURS_READING = (
    "Band: eight futures of ten. Line: the middle future. Dashed: attended hours. Below: what one "
    "more hour would earn."
)


def hours_chart(rows: Rows, *, currency: str) -> Any:
    """Hours needed and attended above, the worth of one more below, on one scale of years.

    Parameters
    ----------
    rows
        One a year: `year`, `needed_low`, `needed`, `needed_high`, `attended` [hours/year],
        `worth_low`, `worth`, `worth_high` [money/hour].
    currency
        ISO 4217 code, for the axis.
    """
    base = alt.Chart(inline(rows)).encode(x=alt.X("year:O", title="year after first chips"))
    attended = base.mark_line(strokeDash=[5, 4], color="black").encode(y="attended:Q")
    needed = alt.layer(*_band(base, "needed", "hours a year"), attended)
    worth = alt.layer(*_band(base, "worth", f"one more, {currency}"))
    return alt.vconcat(
        needed.properties(width=700, height=180),
        worth.properties(width=700, height=120),
        title=alt.Title("Hours with this order", subtitle=HOURS_READING),
        spacing=6,
    ).configure_view(stroke=None)


def _band(base: Any, what: str, title: str) -> tuple[Any, Any]:
    told = [f"{name}:Q" for name in (f"{what}_low", what, f"{what}_high")]
    band = base.mark_area(color="#d0d0d0").encode(
        y=alt.Y(f"{what}_low:Q", title=title), y2=f"{what}_high:Q"
    )
    line = base.mark_line(color="black", point=True).encode(
        y=f"{what}:Q", tooltip=["year:O", *told]
    )
    return band, line
