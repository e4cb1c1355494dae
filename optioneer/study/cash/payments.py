"""What is paid to whom on which day, as a person would write it into a diary."""

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from optioneer.study.cash.answers import CashEntry
from optioneer.study.cash.cash import PlanLedger

LONG = 4
"""From so many payments of one kind on they are told as a series."""

_FAMILY = {"drawdown": "contract", "interest": "instalment", "principal": "instalment"}
_COUNTED = re.compile(r"(\s+of)?\s*\b(\d+ of \d+|\d{4})\b")

TOGETHER = {"site": "getting the site ready"}
"""Words for payments of a kind for different things."""


@dataclass(frozen=True)
class Paid:
    """One payment.

    Parameters
    ----------
    cents
        Money out is negative; nothing where a lender pays all of it.
    lent
        What a lender or lessor pays of it [cents].
    kind
        Kind of the ledger, or `instalment` for interest and principal together.
    """

    date: date
    cents: int
    lent: int
    kind: str
    what: str
    payee: str


@dataclass(frozen=True)
class Series:
    """Payments of one kind to one payee, one after the other, or a single one.

    Parameters
    ----------
    payments
        At least one, by day.
    """

    payments: tuple[Paid, ...]

    @property
    def what(self) -> str:
        """What is paid, without the numbers of the single ones."""
        one = self.payments[0]
        if len(self.payments) == 1:
            return one.what
        stems = {stem(paid.what) for paid in self.payments}
        return stems.pop() if len(stems) == 1 else TOGETHER.get(one.kind, one.kind)


def payments(ledger: PlanLedger) -> tuple[Paid, ...]:
    """Every payment of the purchase under one plan; the rest of the business is left out.

    Notes
    -----
    What a lender pays the dealer is taken off what the shop pays on that day; interest and
    principal of one day make one instalment. The cents add up to those of the ledger.
    """
    return tuple(_paid(ledger.answer.entries))


def stem(what: str) -> str:
    """The words for a payment without its number or year.

    Examples
    --------
    >>> stem("instalment 3 of 60"), stem("tax saved on the deductions of 2027")
    ('instalment', 'tax saved on the deductions')
    """
    return _COUNTED.sub("", what)


def series(paid: Sequence[Paid], *, together: Collection[str] = ()) -> tuple[Series, ...]:
    """Payments in few lines: those of a kind that come again and again together.

    Parameters
    ----------
    paid
        By day.
    together
        Kinds that are one series each, whatever they are for.
    """
    kinds = [
        ((one.kind, "", "") if one.kind in together else (one.kind, one.payee, stem(one.what)), one)
        for one in paid
    ]
    made: list[Series] = []
    for kind in dict.fromkeys(kind for kind, _ in kinds):
        members = tuple(one for other, one in kinds if other == kind)
        if len(members) >= LONG:
            made.append(Series(members))
        else:
            made.extend(Series((one,)) for one in members)
    return tuple(sorted(made, key=lambda one: one.payments[0].date))


def _paid(entries: Sequence[CashEntry]) -> Iterator[Paid]:
    wanted = [entry for entry in entries if entry.kind != "regular"]
    for day, found in groupby(wanted, key=lambda entry: entry.date):
        members = list(found)
        families = [(_family(entry), entry) for entry in members]
        for family in dict.fromkeys(name for name, _ in families):
            yield _together(day, [entry for name, entry in families if name == family])


def _family(entry: CashEntry) -> tuple[str, str, str]:
    kind = _FAMILY.get(entry.kind, entry.kind)
    if kind == "contract":
        return kind, "", ""
    return kind, entry.payee, entry.what


def _together(day: date, members: Sequence[CashEntry]) -> Paid:
    kind = _FAMILY.get(members[0].kind, members[0].kind)
    own = [entry for entry in members if entry.kind != "drawdown"] or list(members)
    words = dict.fromkeys(entry.what for entry in own)
    return Paid(
        date=day,
        cents=sum(entry.cents for entry in members),
        lent=sum(entry.cents for entry in members if entry.kind == "drawdown"),
        kind=kind,
        what=" and ".join(words),
        payee=own[0].payee,
    )
