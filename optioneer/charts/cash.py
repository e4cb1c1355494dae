"""Charts of the money: paid out by month, and the balance of the account."""

from collections.abc import Mapping, Sequence
from typing import Any

import altair as alt

from optioneer.charts import Rows, inline, keep_line, notes
from optioneer.money.cents import places

KIND_COLOURS: Mapping[str, str] = {
    "contract": "#3f7fb5",
    "principal": "#7fb3d9",
    "interest": "#d0564a",
    "fee": "#e59866",
    "rent": "#a08c2a",
    "buyout": "#d4ac0d",
    "sales-tax": "#9a6fb8",
    "income-tax": "#3f9a63",
    "site": "#8a9197",
}
"""One colour a kind of money, in the order in which they are stacked; for any ground."""


CASH_READING = "Paid out by month (bars); balance of the account (line); what to keep (dashed)"


def cash_chart(moved: Rows, left: Rows, *, currency: str, keep_above: float) -> Any:
    """Money out by month and kind, with the balance and what to keep; one panel a plan.

    Parameters
    ----------
    moved
        Rows of `plan`, `month` (ISO date of its first day), `kind`, `amount` [money]; money that
        comes back is below zero.
    left
        Rows of `plan`, `day` (ISO date), `balance` [money]: steps of the account.
    keep_above
        The balance should not end a day below this [money].
    """
    plans = list(dict.fromkeys(str(row["plan"]) for row in left))
    panels = [
        plan_chart(
            [row for row in moved if row["plan"] == plan],
            [row for row in left if row["plan"] == plan],
            currency=currency,
            keep_above=keep_above,
            kinds=[str(row["kind"]) for row in moved],
        ).properties(width=680, height=180)
        for plan in plans
    ]
    stacked = alt.vconcat(*panels, title=CASH_READING)
    return stacked.resolve_scale(x="shared").configure_view(stroke=None)


def plan_chart(
    moved: Rows, left: Rows, *, currency: str, keep_above: float, kinds: Sequence[str] | None = None
) -> Any:
    """The panel of one plan, with a legend of the kinds it has or of `kinds`; see `cash_chart`."""
    named = [str(row["kind"]) for row in moved] if kinds is None else kinds
    bars = _paid_bars(moved, currency, [kind for kind in KIND_COLOURS if kind in named])
    account = alt.layer(keep_line(keep_above), _balance(left, currency))
    drawn = alt.layer(bars, account).resolve_scale(y="independent")
    return drawn.properties(title=str(left[0]["plan"]), height=260)


def _paid_bars(rows: Rows, currency: str, kinds: Sequence[str]) -> Any:
    scale = alt.Scale(domain=list(KIND_COLOURS), range=list(KIND_COLOURS.values()))
    return (
        alt.Chart(inline(rows))
        .mark_bar()
        .encode(
            x=alt.X("month:T", title=None, timeUnit="yearmonth"),
            y=alt.Y(
                "amount:Q",
                title=f"paid out, {currency}",
                stack=True,
                axis=alt.Axis(format="~s", orient="left"),
            ),
            color=alt.Color(
                "kind:N", title="paid out for", scale=scale, legend=alt.Legend(values=list(kinds))
            ),
            tooltip=["month:T", "kind:N", alt.Tooltip("amount:Q", format=to_the_cent(currency))],
        )
    )


def _balance(rows: Rows, currency: str) -> Any:
    axis = alt.Axis(format="~s", orient="right", grid=False)
    return (
        alt.Chart(inline(rows))
        .mark_line(interpolate="step-after", color="black")
        .encode(
            x=alt.X("day:T"),
            y=alt.Y("balance:Q", title=f"balance, {currency}", axis=axis),
            tooltip=[*notes("day:T"), alt.Tooltip("balance:Q", format=to_the_cent(currency))],
        )
    )


def to_the_cent(currency: str) -> str:
    """How an amount is written: with as many decimals as its currency has."""
    return f",.{places(currency)}f"
