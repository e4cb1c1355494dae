"""Charts from plain rows. The only module that knows the chart library."""

from collections.abc import Mapping, Sequence

import altair as alt
import vl_convert

Row = Mapping[str, str | float]
KIND_COLOURS: Mapping[str, str] = {
    "contract": "#1b4f72",
    "drawdown": "#85c1e9",
    "principal": "#2874a6",
    "interest": "#c0392b",
    "fee": "#e59866",
    "rent": "#7d6608",
    "buyout": "#b7950b",
    "sales-tax": "#6c3483",
    "income-tax": "#1e8449",
    "site": "#797d7f",
    "regular": "#bfc9ca",
}
"""One colour a kind of money, told apart in greyscale by the legend's order."""


def cash_chart(
    moved: Sequence[Row], left: Sequence[Row], *, currency: str, keep_above: float
) -> alt.VConcatChart:
    """Money in and out by month and kind with the balance and what to keep, one panel a plan.

    Parameters
    ----------
    moved
        Rows of `plan`, `month` (ISO date of its first day), `kind`, `amount` [money].
    left
        Rows of `plan`, `day` (ISO date), `balance` [money]: steps of the account.
    currency
        ISO 4217 code, for the axis.
    keep_above
        The balance should not end a day below this [money].
    """
    plans = list(dict.fromkeys(str(row["plan"]) for row in left))
    panels = [
        _panel(
            [row for row in moved if row["plan"] == plan],
            [row for row in left if row["plan"] == plan],
            title=plan,
            axis=currency,
            keep_above=keep_above,
        )
        for plan in plans
    ]
    stacked: alt.VConcatChart = alt.vconcat(*panels).resolve_scale(x="shared", y="shared")
    return stacked


def _panel(
    moved: Sequence[Row], left: Sequence[Row], *, title: str, axis: str, keep_above: float
) -> alt.LayerChart | alt.FacetChart:
    kinds = list(KIND_COLOURS)
    bars = (
        alt.Chart(_data(moved))
        .mark_bar()
        .encode(
            x=alt.X("month:T", title=None, timeUnit="yearmonth"),
            y=alt.Y("amount:Q", title=axis, stack=True, axis=alt.Axis(format="~s")),
            color=alt.Color(
                "kind:N",
                title="kind",
                scale=alt.Scale(domain=kinds, range=list(KIND_COLOURS.values())),
            ),
            tooltip=["month:T", "kind:N", alt.Tooltip("amount:Q", format=",.2f")],
        )
    )
    balance = (
        alt.Chart(_data(left))
        .mark_line(interpolate="step-after", color="black")
        .encode(
            x="day:T",
            y="balance:Q",
            tooltip=["day:T", alt.Tooltip("balance:Q", format=",.2f")],
        )
    )
    rule = (
        alt.Chart(_data([{"keep": keep_above}]))
        .mark_rule(color="#922b21", strokeDash=[6, 4])
        .encode(y="keep:Q")
    )
    return alt.layer(bars, rule, balance).properties(
        title=f"{title}: by month, with the balance (line) and what to keep (dashed)",
        width=680,
        height=200,
    )


def _data(rows: Sequence[Row]) -> alt.InlineData:
    return alt.InlineData(values=[dict(row) for row in rows])


def svg(chart: alt.TopLevelMixin) -> bytes:
    """The chart as a drawing."""
    return str(vl_convert.vegalite_to_svg(chart.to_json())).encode("utf-8")


def png(chart: alt.TopLevelMixin) -> bytes:
    """The chart as a picture, at twice the size of the screen."""
    return bytes(vl_convert.vegalite_to_png(chart.to_json(), scale=2))
