"""Charts from plain rows. The only module that knows the chart library."""

from collections.abc import Mapping, Sequence

import altair as alt
import vl_convert

from optioneer.study.cash import CashStudy
from optioneer.study.cash_rows import balance_rows, moved_rows

Row = Mapping[str, str | float]
KIND_COLOURS: Mapping[str, str] = {
    "contract": "#1b4f72",
    "principal": "#5499c7",
    "interest": "#c0392b",
    "fee": "#e59866",
    "rent": "#7d6608",
    "buyout": "#d4ac0d",
    "sales-tax": "#6c3483",
    "income-tax": "#1e8449",
    "site": "#797d7f",
}
"""One colour a kind of money, in the order in which they are stacked."""


def cash_chart(
    moved: Sequence[Row], left: Sequence[Row], *, currency: str, keep_above: float
) -> alt.VConcatChart:
    """Money out by month and kind, with the balance and what to keep; one panel a plan.

    Parameters
    ----------
    moved
        Rows of `plan`, `month` (ISO date of its first day), `kind`, `amount` [money]; money that
        comes back is below zero.
    left
        Rows of `plan`, `day` (ISO date), `balance` [money]: steps of the account.
    currency
        ISO 4217 code, for the axes.
    keep_above
        The balance should not end a day below this [money].
    """
    plans = list(dict.fromkeys(str(row["plan"]) for row in left))
    panels = [
        alt.layer(
            _bars([row for row in moved if row["plan"] == plan], currency),
            alt.layer(
                _keep(keep_above), _balance([row for row in left if row["plan"] == plan], currency)
            ),
        )
        .resolve_scale(y="independent")
        .properties(title=plan, width=680, height=180)
        for plan in plans
    ]
    title = "Paid out by month (bars); balance of the account (line); what to keep (dashed)"
    stacked: alt.VConcatChart = (
        alt.vconcat(*panels, title=title).resolve_scale(x="shared").configure_view(stroke=None)
    )
    return stacked


def _bars(rows: Sequence[Row], currency: str) -> alt.Chart:
    scale = alt.Scale(domain=list(KIND_COLOURS), range=list(KIND_COLOURS.values()))
    bars: alt.Chart = (
        alt.Chart(_data(rows))
        .mark_bar()
        .encode(
            x=alt.X("month:T", title=None, timeUnit="yearmonth"),
            y=alt.Y(
                "amount:Q",
                title=f"paid out, {currency}",
                stack=True,
                axis=alt.Axis(format="~s", orient="left"),
            ),
            color=alt.Color("kind:N", title="paid out for", scale=scale),
            tooltip=["month:T", "kind:N", alt.Tooltip("amount:Q", format=",.2f")],
        )
    )
    return bars


def _balance(rows: Sequence[Row], currency: str) -> alt.Chart:
    axis = alt.Axis(format="~s", orient="right", grid=False)
    line: alt.Chart = (
        alt.Chart(_data(rows))
        .mark_line(interpolate="step-after", color="black")
        .encode(
            x="day:T",
            y=alt.Y("balance:Q", title=f"balance, {currency}", axis=axis),
            tooltip=["day:T", alt.Tooltip("balance:Q", format=",.2f")],
        )
    )
    return line


def _keep(limit: float) -> alt.Chart:
    rule: alt.Chart = (
        alt.Chart(_data([{"keep": limit}]))
        .mark_rule(color="#922b21", strokeDash=[6, 4])
        .encode(y="keep:Q")
    )
    return rule


def _data(rows: Sequence[Row]) -> alt.InlineData:
    return alt.InlineData(values=[dict(row) for row in rows])


def cash_picture(study: CashStudy, *, keep_above: float, suffix: str) -> bytes:
    """The chart of `study` as a file: `.svg` a drawing, `.png` a picture at twice its size."""
    chart = cash_chart(
        moved_rows(study.ledgers),
        balance_rows(study.ledgers),
        currency=study.answer.currency,
        keep_above=keep_above,
    ).to_json()
    if suffix == ".svg":
        return str(vl_convert.vegalite_to_svg(chart)).encode("utf-8")
    return bytes(vl_convert.vegalite_to_png(chart, scale=2))
