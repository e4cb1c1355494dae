"""The account as one curve a way of paying, and what leaves it by month and kind."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import streamlit as st

from optioneer.app.engine.words import literal
from optioneer.app.parts import show
from optioneer.charts.account import account_chart, paid_chart
from optioneer.model.case import Case
from optioneer.reports.cash.ledger import months_table
from optioneer.reports.cash.rows import ChartRow, balance_rows, moved_rows
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Table
from optioneer.study.cash.cash import CashStudy, PlanLedger
from optioneer.study.cash.plans import paying_of

Marked = Mapping[str, Any]
"""The lowest day of a way: `way`, `day`, `balance`, `mark`."""


def draw(case: Case, study: CashStudy, ledger: PlanLedger, figures: Figures) -> None:
    """Both panels of the money, the lowest days in words, and the months as a table.

    Parameters
    ----------
    case, study
        The case under the conditions that are tried, and its money.
    ledger
        The way of paying that is looked at.
    figures
        How money is said.
    """
    names = way_names(case)
    left, moved = (rows(study.ledgers, figures.currency) for rows in (balance_rows, moved_rows))
    span = (min(str(row["day"]) for row in left), max(str(row["day"]) for row in left))
    marks, chosen = lowest_marks(study, names, figures), ledger.answer.id
    drawn = account_chart(
        [{**row, "way": names[str(row["plan"])]} for row in left],
        [mark for mark in marks if mark["mark"]],
        chosen=names[chosen],
        keep_above=paying_of(case).account.keep_above,
        currency=figures.currency,
        span=span,
    )
    balances = [{**row, "plan": names[str(row["plan"])]} for row in left]
    show.charts(
        {"Balance of the account under every way of paying; red: below what to keep.": drawn},
        show.Behind((balances_table(balances, figures),), "balances"),
        "Numbers: lowest days, as in the table below. Red: below what to keep.",
    )
    show.show(lowest_table(study, names, marks, figures))
    named = ledger.answer.model_copy(update={"id": names[chosen]})
    paid = [{**row, "plan": named.id} for row in moved if row["plan"] == chosen]
    if paid:
        st.markdown(f"**{literal(f'Paid out by month: {named.id}')}**")
        shown = paid_chart(paid, most=most_in_a_month(moved), currency=figures.currency, span=span)
        show.charts(
            {f"Paid out by month and kind: {named.id}.": shown},
            show.Behind((months_table(named, paid, balances, figures),), "months"),
        )


def balances_table(balances: Sequence[ChartRow], figures: Figures) -> Table:
    """What every way of paying leaves in the account at the end of each month.

    Where nothing moves in a month, what was there before is there still.
    """
    ways = tuple(dict.fromkeys(str(row["plan"]) for row in balances))
    ends = {(str(row["day"])[:7], str(row["plan"])): float(row["balance"]) for row in balances}
    held, rows = dict.fromkeys(ways, ""), []
    for month in sorted({month for month, _ in ends}):
        held |= {way: figures.quoted(ends[month, way]) for way in ways if (month, way) in ends}
        rows.append((month, *held.values()))
    return Table("Balance at the end of each month", ("month", *ways), tuple(rows))


def way_names(case: Case) -> dict[str, str]:
    """What people call each way of paying, by id; two of one name are told apart by their ids."""
    plans = paying_of(case).plan
    names = [plan.name or plan.id for plan in plans]
    return {
        plan.id: name if names.count(name) == 1 else f"{name} ({plan.id})"
        for plan, name in zip(plans, names, strict=True)
    }


def called_by_name(study: CashStudy, names: Mapping[str, str]) -> CashStudy:
    """The same money with every way of paying called by its name, for pages that only show it."""
    ledgers = tuple(
        replace(one, answer=one.answer.model_copy(update={"id": names[one.answer.id]}))
        for one in study.ledgers
    )
    cheapest, safest = study.answer.cheapest, study.answer.safest
    answer = study.answer.model_copy(
        update={
            "plans": tuple(ledger.answer for ledger in ledgers),
            "cheapest": cheapest and names[cheapest],
            "safest": safest and names[safest],
            "flips": tuple(
                flip.model_copy(update={"first": names[flip.first], "second": names[flip.second]})
                for flip in study.answer.flips
            ),
        }
    )
    return replace(study, answer=answer, ledgers=ledgers)


def lowest_marks(study: CashStudy, names: Mapping[str, str], figures: Figures) -> list[Marked]:
    """The lowest day of every way, numbered; ways that fall together share one mark."""
    together: dict[tuple[str, int], list[int]] = defaultdict(list)
    plans = [ledger.answer for ledger in study.ledgers]
    for number, plan in enumerate(plans, 1):
        together[plan.lowest.date.isoformat(), plan.lowest.cents].append(number)
    marks: list[Marked] = []
    for number, plan in enumerate(plans, 1):
        shared = together[plan.lowest.date.isoformat(), plan.lowest.cents]
        said = ", ".join(map(str, shared)) if shared[0] == number else ""
        marks.append(
            {
                "way": names[plan.id],
                "day": plan.lowest.date.isoformat(),
                "balance": figures.worth(plan.lowest.cents),
                "mark": said,
            }
        )
    return marks


def lowest_table(
    study: CashStudy, names: Mapping[str, str], marks: Sequence[Marked], figures: Figures
) -> Table:
    """The lowest day of every way of paying, by the numbers of the chart."""
    rows = tuple(
        (
            f"{number} {names[plan.id]}",
            figures.cash(plan.lowest.cents),
            str(mark["day"]),
            figures.number(plan.days_below),
            figures.cash(plan.opening_needed_cents),
        )
        for number, (plan, mark) in enumerate(
            zip((ledger.answer for ledger in study.ledgers), marks, strict=True), 1
        )
    )
    heads = ("", "lowest balance", "on", "days below what to keep", "opening that would do")
    return Table("", heads, rows)


def most_in_a_month(moved: Sequence[ChartRow]) -> float:
    """The most that any way of paying takes out of the account in one month [money]."""
    sums: dict[tuple[str, str], float] = defaultdict(float)
    for row in moved:
        sums[str(row["plan"]), str(row["month"])] += max(float(row["amount"]), 0.0)
    return max(sums.values(), default=0.0)
