"""How the account fares with the machine in it: balances by month over the futures."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from optioneer.dates import month_end, plus_months
from optioneer.money.credit import DAYS
from optioneer.money.ledger import Entry
from optioneer.study.account.answers import CentsBand, MonthOfAccount, PlanAccount
from optioneer.study.account.flows import MachineFlow, ManyCents, whole_cents

TENTHS = (0.1, 0.5, 0.9)
"""One future in ten leaves less than the first, half of them less than the second."""


@dataclass(frozen=True)
class Balances:
    """What is in the account at the end of the days on which anything moves.

    Parameters
    ----------
    days
        Those days, rising, the first one of the timeline too.
    cents
        In each of n futures, shape (days, n).
    """

    days: tuple[date, ...]
    cents: ManyCents

    def at_end_of(self, month: date) -> ManyCents:
        """Balance after the last day up to the end of a month, shape (n,)."""
        last = bisect_right(self.days, month_end(month)) - 1
        return np.asarray(self.cents[last])

    def lowest_in(self, month: date) -> ManyCents:
        """Lowest balance of a month, what it begins with included, shape (n,)."""
        before = bisect_left(self.days, month.replace(day=1))
        after = bisect_right(self.days, month_end(month))
        return np.asarray(self.cents[max(before - 1, 0) : after].min(axis=0))


def balances_of(
    entries: Sequence[Entry], flows: Sequence[MachineFlow], opening: int, span: tuple[date, date]
) -> Balances:
    """Balances of all futures: what is contracted, the same in each, and what the machine moves.

    Parameters
    ----------
    entries
        Contracted, with the rest of the business.
    flows
        Of the machine, over n futures.
    opening
        Before the first day [cents].
    span
        First and last day.
    """
    known = [one for one in flows if one.day <= span[1]]
    dated = {*(max(e.date, span[0]) for e in entries), *(max(o.day, span[0]) for o in known)}
    days = tuple(sorted({span[0], *dated}))
    place, count = {day: k for k, day in enumerate(days)}, len(known[0].cents) if known else 1
    moved = np.zeros((len(days), count), dtype=np.int64)
    for entry in entries:
        moved[place[max(entry.date, span[0])]] += entry.cents
    for one in known:
        moved[place[max(one.day, span[0])]] += one.cents
    return Balances(days, opening + np.cumsum(moved, axis=0))


def line_charges(found: Balances, until: date, rate: float) -> tuple[MachineFlow, ...]:
    """What the bank charges on the days that end below zero, at the ends of months.

    Parameters
    ----------
    found
        Balances before this interest.
    until
        Last day.
    rate
        Nominal, a year.

    Notes
    -----
    In every future what `interest_below_zero` charges in one, to the cent.
    """
    count, row, day, charges = found.cents.shape[1], 0, found.days[0], []
    charged, borne = np.zeros(count, dtype=np.int64), np.zeros(count)
    while day <= until:
        row += row + 1 < len(found.days) and found.days[row + 1] <= day
        borne += np.maximum(charged - found.cents[row], 0) * rate / DAYS
        if day in (month_end(day), until) and (cents := whole_cents(borne)).any():
            charges.append(MachineFlow(day, "line", -cents))
            charged, borne = charged + cents, np.where(cents > 0, 0.0, borne)
        day += timedelta(days=1)
    return tuple(charges)


def plan_account(name: str, found: Balances, keep: int, opening: int) -> PlanAccount:
    """What is told of the account under one plan.

    Parameters
    ----------
    name
        Id of the plan.
    keep
        What should be kept [cents].
    opening
        Balance before the first day [cents].
    """
    lowest = np.minimum(found.cents.min(axis=0), opening)
    months = tuple(_months(found, keep))
    first, *_ = sorted(months, key=lambda one: (-one.below, one.month))
    return PlanAccount(
        id=name,
        months=months,
        lowest=band(lowest),
        below=float((lowest < keep).mean()),
        worst_month=first.month if first.below else None,
        worst_below=first.below,
        line_cents=max(keep - int(_tenth(lowest)), 0),
        line_all_cents=max(keep - int(lowest.min()), 0),
    )


def _months(found: Balances, keep: int) -> Iterator[MonthOfAccount]:
    for month in months_between(found.days[0], found.days[-1]):
        below = float((found.lowest_in(month) < keep).mean())
        balance = band(found.at_end_of(month))
        yield MonthOfAccount(month=f"{month:%Y-%m}", balance=balance, below=below)


def months_between(first: date, last: date) -> list[date]:
    """The first day of every month between two days."""
    start = first.replace(day=1)
    count = (last.year - start.year) * 12 + last.month - start.month + 1
    return [plus_months(start, k) for k in range(count)]


def band(values: ManyCents) -> CentsBand:
    """One future in ten has less than the first, half of them less than the second."""
    p10, p50, p90 = (int(one) for one in np.quantile(values, TENTHS, method="inverted_cdf"))
    return CentsBand(p10=p10, p50=p50, p90=p90)


def _tenth(values: ManyCents) -> int:
    return band(values).p10
