"""The ledgers as plain rows for a chart."""

from collections.abc import Sequence

from optioneer.money.ledger import totals
from optioneer.study.cash import PlanLedger

Row = dict[str, str | float]


def moved_rows(ledgers: Sequence[PlanLedger]) -> list[Row]:
    """Money by plan, month and kind [money], out below zero."""
    return [
        {"plan": ledger.answer.id, "month": f"{month}-01", "kind": kind, "amount": cents / 100}
        for ledger in ledgers
        for month, kinds in totals(ledger.entries, "month").items()
        for kind, cents in kinds.items()
    ]


def balance_rows(ledgers: Sequence[PlanLedger]) -> list[Row]:
    """Balance by plan at the end of each day on which something moves [money]."""
    return [
        {"plan": ledger.answer.id, "day": day.isoformat(), "balance": cents / 100}
        for ledger in ledgers
        for day, cents in {e.date: e.balance_cents for e in ledger.answer.entries}.items()
    ]
