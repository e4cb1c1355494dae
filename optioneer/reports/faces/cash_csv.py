"""The cash ledger as a table for a spreadsheet."""

import csv
import io
from collections.abc import Iterator

from optioneer.money.ledger import balances
from optioneer.study.cash.cash import CashStudy, PlanLedger

HEADS = ("plan", "date", "amount", "currency", "kind", "what", "payee", "belongs_to", "balance")
_LIVE = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet takes for the start of a formula."""


def cash_csv(study: CashStudy) -> str:
    """Every entry of every plan, one a row; amounts with a point and two decimals, out below zero.

    Text that a spreadsheet would run as a formula is led by an apostrophe.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(HEADS)
    for ledger in study.ledgers:
        writer.writerows(_rows(ledger, study.answer.currency))
    return text.getvalue()


def _rows(ledger: PlanLedger, currency: str) -> Iterator[tuple[str, ...]]:
    answer = ledger.answer
    first = answer.entries[0] if answer.entries else None
    opening = first.balance_cents - first.cents if first else 0
    for entry, balance in zip(ledger.entries, balances(ledger.entries, opening), strict=True):
        yield (
            answer.id,
            entry.date.isoformat(),
            decimal_text(entry.cents),
            currency,
            entry.kind,
            inert(entry.what),
            inert(entry.payee),
            inert(entry.belongs_to),
            decimal_text(balance),
        )


def decimal_text(cents: int) -> str:
    """Cents as an amount with two decimals, exactly.

    Examples
    --------
    >>> decimal_text(-5)
    '-0.05'
    """
    whole, rest = divmod(abs(cents), 100)
    return f"{'-' if cents < 0 else ''}{whole}.{rest:02d}"


def inert(text: str) -> str:
    """`text` so that no spreadsheet runs it."""
    return f"'{text}" if text.startswith(_LIVE) else text
