"""Charts: rows in, chart specifications out. Text of a case goes in as data only."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

import altair as alt

Rows = Sequence[Mapping[str, Any]]

READING = "Bar: planned. Dotted: float. Triangle: order or book by. Lines: days that matter."

MOST_ROWS = 400
"""More tasks than this are not drawn."""


def gantt(tasks: Rows, marks: Rows, *, title: str) -> Any:
    """Tasks as bars over time, their room as thin lines, booking days and milestones.

    Parameters
    ----------
    tasks
        ``task``, ``start``, ``finish`` (the morning after the last day), ``latest``, ``book`` (or
        none), ``kind`` (``critical`` or ``has float``); dates as ISO text, in the order of rows.
    marks
        ``day`` and ``mark``: days that matter, such as the machine's arrival.
    title
        Title of the chart.
    """
    shown = [dict(row) for row in tasks][:MOST_ROWS]
    order = [row["task"] for row in shown]
    base = alt.Chart(_inline(shown)).encode(
        y=alt.Y("task:N", sort=order, title=None, axis=alt.Axis(labelLimit=260))
    )
    layers = (_room(base), _bars(base), _bookings(base, shown), *_milestones(marks))
    return alt.layer(*layers).properties(
        title=alt.Title(title, subtitle=READING), width=760, height=alt.Step(18)
    )


def _inline(rows: Rows) -> Any:
    # The library gives no types for its data classes; charts are Any here.
    return alt.InlineData(values=[dict(row) for row in rows])


def _bars(base: Any) -> Any:
    kinds = ["critical", "has float"]
    return base.mark_bar(height=11, stroke="#202020").encode(
        x=alt.X("start:T", title=None, axis=alt.Axis(format="%d %b %Y", labelAngle=-40)),
        x2="finish:T",
        # Critical bars differ by border and darkness as well, so that they show without colour.
        color=alt.Color(
            "kind:N",
            title="task",
            scale=alt.Scale(domain=kinds, range=["#8a3b12", "#cfe0ec"]),
        ),
        strokeWidth=alt.StrokeWidth(
            "kind:N", title="task", scale=alt.Scale(domain=kinds, range=[1.6, 0.4])
        ),
        tooltip=["task:N", "start:T", "finish:T", "latest:T", "book:T", "kind:N"],
    )


def _room(base: Any) -> Any:
    return base.mark_rule(strokeWidth=1.2, strokeDash=[2, 2], color="#606060").encode(
        x="finish:T", x2="latest:T"
    )


def _bookings(base: Any, shown: Rows) -> Any:
    booked = [row for row in shown if row.get("book")]
    return (
        base.properties(data=_inline(booked))
        .mark_point(shape="triangle-right", size=55, filled=True, color="#101010")
        .encode(x="book:T")
    )


def _milestones(marks: Rows) -> tuple[Any, Any]:
    base = alt.Chart(_inline(marks)).encode(x="day:T")
    lines = base.mark_rule(strokeWidth=1.4, color="#303030")
    names = base.mark_text(angle=270, align="right", dx=-4, dy=-5, fontSize=10).encode(
        text="mark:N", y=alt.value(0)
    )
    return lines, names


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


def cash_chart(moved: Rows, left: Rows, *, currency: str, keep_above: float) -> Any:
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
            _paid_bars([row for row in moved if row["plan"] == plan], currency),
            alt.layer(
                _keep(keep_above), _balance([row for row in left if row["plan"] == plan], currency)
            ),
        )
        .resolve_scale(y="independent")
        .properties(title=plan, width=680, height=180)
        for plan in plans
    ]
    title = "Paid out by month (bars); balance of the account (line); what to keep (dashed)"
    return alt.vconcat(*panels, title=title).resolve_scale(x="shared").configure_view(stroke=None)


def _paid_bars(rows: Rows, currency: str) -> Any:
    scale = alt.Scale(domain=list(KIND_COLOURS), range=list(KIND_COLOURS.values()))
    return (
        alt.Chart(_inline(rows))
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


def _balance(rows: Rows, currency: str) -> Any:
    axis = alt.Axis(format="~s", orient="right", grid=False)
    return (
        alt.Chart(_inline(rows))
        .mark_line(interpolate="step-after", color="black")
        .encode(
            x="day:T",
            y=alt.Y("balance:Q", title=f"balance, {currency}", axis=axis),
            tooltip=["day:T", alt.Tooltip("balance:Q", format=",.2f")],
        )
    )


def _keep(limit: float) -> Any:
    return (
        alt.Chart(_inline([{"keep": limit}]))
        .mark_rule(color="#922b21", strokeDash=[6, 4])
        .encode(y="keep:Q")
    )


PANEL = 64
"""Height of one package's panel [px]."""

BELOW = 0.4
"""Room below the bars for the marks, as a share of the tallest bar."""

SPREAD_READING = (
    "Bars: futures at each cost. Line: eight futures of ten. Stroke: middle future. Dot: average. "
    "Diamond: average of the worst tenth."
)


def npc_chart(counted: Rows, marks: Rows, *, currency: str, title: str) -> Any:
    """How the cost of each package is spread over the futures, a panel each on one scale.

    Shapes alone tell the marks apart, so that the chart reads in black and white.

    Parameters
    ----------
    counted
        Rows of `package`, `low`, `high` [money] and `futures`: how many cost between the two.
    marks
        One row a package: `package`, `low`, `middle`, `high` (one future in ten below, half, nine
        in ten), `mean`, `worst` [money].
    currency
        ISO 4217 code, for the axis.
    title
        Title of the chart.
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
        alt.Chart(_inline(rows))
        .mark_rect(fill="#d0d0d0", stroke="#707070", strokeWidth=0.5)
        .encode(
            x=alt.X("low:Q", title=None, scale=alt.Scale(zero=False), axis=alt.Axis(format="~s")),
            x2="high:Q",
            y=alt.Y("futures:Q", title=None, axis=None, scale=scale),
            y2=alt.datum(0),
            tooltip=["package:N", "low:Q", "high:Q", "futures:Q"],
        )
    )


def _spread_marks(mark: Rows) -> tuple[Any, ...]:
    base = alt.Chart(_inline(mark)).encode(y=alt.value(PANEL * (1 - BELOW / (1 + BELOW) / 2)))
    points = (("mean", "circle", 60), ("worst", "diamond", 90))
    return (
        base.mark_rule(strokeWidth=2, color="black").encode(x="low:Q", x2="high:Q"),
        base.mark_tick(thickness=3, size=14, color="black").encode(x="middle:Q"),
        *(
            base.mark_point(
                shape=shape, size=size, filled=True, fill="white", stroke="black"
            ).encode(x=f"{what}:Q", tooltip=["package:N", alt.Tooltip(f"{what}:Q", format=",.0f")])
            for what, shape, size in points
        ),
    )


def image(chart: Any, kind: str) -> bytes:
    """The chart as a file: ``svg``, ``png``, ``pdf``, or ``json`` for its specification.

    Raises
    ------
    ValueError
        Another kind.
    """
    import vl_convert  # noqa: PLC0415 - only for pictures

    text: str = chart.to_json()
    makers: Mapping[str, Callable[[], Any]] = {
        "svg": lambda: vl_convert.vegalite_to_svg(text).encode(),
        "png": lambda: vl_convert.vegalite_to_png(text, scale=2),
        "pdf": lambda: vl_convert.vegalite_to_pdf(text),
        "json": partial(text.encode, "utf-8"),
    }
    if kind not in makers:
        msg = f"'{kind}' is no kind of picture: use svg, png, pdf or json"
        raise ValueError(msg)
    return bytes(makers[kind]())
