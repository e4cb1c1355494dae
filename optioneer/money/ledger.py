"""The cash ledger: dated amounts in whole cents, running balance, totals, lowest point.

Money out is negative.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate
from typing import Literal, get_args

EntryKind = Literal[
    "contract",
    "drawdown",
    "principal",
    "interest",
    "fee",
    "rent",
    "buyout",
    "sales-tax",
    "income-tax",
    "site",
    "regular",
]
KINDS: tuple[EntryKind, ...] = get_args(EntryKind)
LedgerSpan = Literal["month", "quarter"]


@dataclass(frozen=True)
class Entry:
    """One amount on one day.

    Parameters
    ----------
    cents
        Negative: money out.
    what
        What it is for, in words.
    payee
        Who gets it, or who pays it.
    belongs_to
        Option or work it belongs to.
    """

    date: date
    cents: int
    kind: EntryKind
    what: str
    payee: str
    belongs_to: str = ""


def by_day(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Entries by day; on one day receipts first, then by kind and words: always the same order."""
    return tuple(
        sorted(
            entries,
            key=lambda entry: (
                entry.date,
                entry.cents < 0,
                KINDS.index(entry.kind),
                entry.what,
                entry.payee,
                entry.belongs_to,
                entry.cents,
            ),
        )
    )


def balances(entries: Sequence[Entry], opening: int) -> tuple[int, ...]:
    """Balance after each entry [cents]."""
    return tuple(accumulate((entry.cents for entry in entries), initial=opening))[1:]


def daily_balances(
    entries: Sequence[Entry], opening: int, span: tuple[date, date]
) -> list[tuple[date, int]]:
    """Balance at the end of every day of `span`, first and last day included."""
    moved: dict[date, int] = defaultdict(int)
    for entry in entries:
        moved[max(entry.date, span[0])] += entry.cents
    days = [span[0] + timedelta(days=k) for k in range((span[1] - span[0]).days + 1)]
    ends = accumulate((moved[day] for day in days), initial=opening)
    return list(zip(days, list(ends)[1:], strict=True))


def lowest(daily: Sequence[tuple[date, int]]) -> tuple[date, int]:
    """First day with the lowest balance, and that balance."""
    return min(daily, key=lambda pair: pair[1])


def days_below(daily: Sequence[tuple[date, int]], limit: int) -> int:
    """Days that end below `limit`."""
    return sum(balance < limit for _, balance in daily)


def totals(entries: Iterable[Entry], span: LedgerSpan) -> Mapping[str, Mapping[EntryKind, int]]:
    """Cents by month (`2027-03`) or quarter (`2027-Q1`), then by kind; rising."""
    sums: dict[str, dict[EntryKind, int]] = defaultdict(lambda: defaultdict(int))
    for entry in entries:
        sums[period_name(entry.date, span)][entry.kind] += entry.cents
    return {name: dict(sums[name]) for name in sorted(sums)}


def period_name(day: date, span: LedgerSpan) -> str:
    """The month or quarter that `day` is in.

    Examples
    --------
    >>> period_name(date(2027, 5, 9), "quarter")
    '2027-Q2'
    """
    if span == "month":
        return f"{day:%Y-%m}"
    return f"{day.year}-Q{(day.month + 2) // 3}"
