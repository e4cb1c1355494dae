"""The ledgers as plain rows for a chart."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date

from optioneer.dates import month_end
from optioneer.money.cents import amount_of
from optioneer.money.ledger import EntryKind
from optioneer.study.cash.cash import PlanLedger

ChartRow = dict[str, str | float]


OWN: dict[str, str] = {"drawdown": "contract"}
"""Kinds shown as another: what a lender pays the dealer is not the shop's money."""

BESIDE: frozenset[EntryKind] = frozenset({"regular", "income-tax", "sales-tax"})
"""Kinds that do not tell how long a chart lasts."""


def moved_rows(ledgers: Sequence[PlanLedger], currency: str) -> list[ChartRow]:
    """Money out by plan, month and kind [money]; money that comes back is below zero.

    The rest of the business is left out, and what a lender pays the dealer is taken off the
    contract: what is left is what the shop itself pays.
    """
    last, sums = _last_day(ledgers), defaultdict[tuple[str, str, str], int](int)
    for ledger in ledgers:
        for entry in ledger.entries:
            if entry.kind != "regular" and entry.date <= last:
                kind = OWN.get(entry.kind, entry.kind)
                sums[ledger.answer.id, f"{entry.date:%Y-%m}-01", kind] -= entry.cents
    return [
        {"plan": plan, "month": month, "kind": kind, "amount": amount_of(cents, currency)}
        for (plan, month, kind), cents in sums.items()
        if cents
    ]


def balance_rows(ledgers: Sequence[PlanLedger], currency: str) -> list[ChartRow]:
    """Balance by plan at the end of each day on which something moves [money]."""
    last = _last_day(ledgers)
    return [
        {"plan": ledger.answer.id, "day": day.isoformat(), "balance": amount_of(cents, currency)}
        for ledger in ledgers
        for day, cents in {e.date: e.balance_cents for e in ledger.answer.entries}.items()
        if day <= last
    ]


def _last_day(ledgers: Sequence[PlanLedger]) -> date:
    """The end of the month of the last payment that is contracted, of any plan."""
    days = [e.date for one in ledgers for e in one.entries if e.kind not in BESIDE]
    return month_end(max(days))
