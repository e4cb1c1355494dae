"""Loans in whole cents: draws, interest, instalments, balloon, early payoff.

A schedule is a list of rows whose interest and principal add up to what is paid and whose last
balance is exactly zero: the last payment takes what rounding leaves.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from optioneer.dates import MONTHS_PER_YEAR, DayCount, months_back
from optioneer.money.cents import rounded
from optioneer.money.days import year_fraction

RowKind = Literal["draw", "interest", "instalment", "payoff"]


@dataclass(frozen=True)
class LoanTerms:
    """What borrower and lender agreed on. All dates are nominal, before weekends move them.

    Parameters
    ----------
    rate
        Nominal, a year.
    draws
        When and how much the lender pays out [cents].
    due
        Dates of the instalments, rising, the first not before the last draw.
    day_count
        How the days of interest are counted. Under the two 30/360 counts whole months bear 30
        days each, month-ends included.
    settled
        Dates before the first instalment on which the interest so far is settled.
    added
        Settled interest is added to what is owed, instead of paid.
    weights
        Size of each instalment against the others; with `equal_principal`, of its principal.
        0 skips it: its interest is added to what is owed. Empty: all alike.
    interest_only
        Leading instalments that pay interest only.
    balloon
        Paid on top of the last instalment [cents].
    equal_principal
        Instalments repay equal parts, plus interest, instead of being level.
    payment
        Level instalment as agreed [cents]; none: the one that just repays the loan.
    payoff
        Day on which all that is owed is paid off early.
    """

    rate: float
    draws: tuple[tuple[date, int], ...]
    due: tuple[date, ...]
    day_count: DayCount = "30/360"
    settled: tuple[date, ...] = ()
    added: bool = False
    weights: tuple[float, ...] = ()
    interest_only: int = 0
    balloon: int = 0
    equal_principal: bool = False
    payment: int | None = None
    payoff: date | None = None

    @property
    def borrowed(self) -> int:
        """All draws [cents]."""
        return sum(cents for _, cents in self.draws)

    def weight(self, number: int) -> float:
        """Size of instalment `number` (from 0) against the others."""
        if number < self.interest_only:
            return 0.0
        return self.weights[number] if self.weights else 1.0


@dataclass(frozen=True)
class LoanRow:
    """One day of a schedule; all sums in cents.

    Parameters
    ----------
    date
        Nominal day.
    drawn
        Paid out by the lender.
    interest, principal
        Paid to the lender; earlier interest that was not paid goes before principal.
    added
        Interest that was not paid and is owed from now on; below zero: such interest now paid.
    balance
        Owed afterwards.
    """

    date: date
    kind: RowKind
    drawn: float = 0
    interest: float = 0
    principal: float = 0
    added: float = 0
    balance: float = 0

    @property
    def paid(self) -> float:
        """Interest and principal."""
        return self.interest + self.principal


_Instalment = Callable[[int, float, float], float]
_ORDER: dict[RowKind, int] = {"interest": 0, "instalment": 1, "payoff": 2, "draw": 3}


def schedule(terms: LoanTerms, whole: Callable[[float], float] = rounded) -> tuple[LoanRow, ...]:
    """The rows of a loan in whole cents, to a balance of exactly zero.

    Parameters
    ----------
    whole
        How an amount is rounded; `float` rounds nothing, as handbooks print their tables.

    Notes
    -----
    Interest is simple between two rows that settle it and is rounded once in each. Draws bear
    interest from their day on. The last instalment, or the payoff, takes all that is left.
    """
    level = _level(terms)
    last = len(terms.due) - 1

    def instalment(number: int, balance: float, interest: float) -> float:
        if number == last:
            return balance + interest
        if number < terms.interest_only:
            return interest
        part = whole(level * terms.weight(number))
        wanted = part + interest if terms.equal_principal else part
        return min(wanted, max(balance - terms.balloon, 0) + interest)

    return tuple(row for row in _rows(terms, instalment, whole) if row.drawn or _moves(row))


def _moves(row: LoanRow) -> bool:
    return bool(row.interest or row.principal or row.added)


def level_payment(terms: LoanTerms) -> float:
    """The unrounded instalment of weight 1 that just repays a loan [cents].

    Notes
    -----
    What is owed after the last instalment is linear in the instalment's size: two runs of the
    schedule, with nothing and with a trial size, give the line and its zero.
    """
    trial = terms.borrowed / len(terms.due)
    left = [_owed_at_end(terms, size) - terms.balloon for size in (0.0, trial)]
    return trial * left[0] / (left[0] - left[1])


def _owed_at_end(terms: LoanTerms, size: float) -> float:
    """Owed after the last instalment, if none is rounded and those of weight 1 are `size`."""

    def instalment(number: int, _balance: float, interest: float) -> float:
        if number < terms.interest_only:
            return interest
        return size * terms.weight(number)

    rows = list(_rows(replace(terms, payoff=None), instalment, float))
    return rows[-1].balance


def _level(terms: LoanTerms) -> float:
    if terms.equal_principal:
        total = sum(terms.weight(number) for number in range(len(terms.due)))
        return (terms.borrowed - terms.balloon) / total
    return terms.payment if terms.payment is not None else level_payment(terms)


def _rows(
    terms: LoanTerms, instalment: _Instalment, whole: Callable[[float], float]
) -> Iterator[LoanRow]:
    balance, carried, accrued, number = 0.0, 0.0, 0.0, 0
    last = min(day for day, _ in terms.draws)
    for day, kind, drawn in _events(terms):
        accrued += balance * terms.rate * interest_years(last, day, terms.day_count)
        last = day
        if kind == "draw":
            balance += drawn
            yield LoanRow(day, kind, drawn=drawn, balance=balance)
            continue
        interest, accrued = whole(accrued), 0.0
        if kind == "payoff":
            paid = balance + interest
        elif kind == "interest":
            paid = 0.0 if terms.added else interest
        else:
            paid = instalment(number, balance, interest)
            number += 1
        covered = min(interest + carried, paid)
        carried += interest - covered
        balance += interest - paid
        yield LoanRow(
            day,
            kind,
            interest=covered,
            principal=paid - covered,
            added=interest - covered,
            balance=balance,
        )


def _events(terms: LoanTerms) -> list[tuple[date, RowKind, int]]:
    """Days on which something happens, in order; draws come last on their day."""
    events: list[tuple[date, RowKind, int]] = [(day, "draw", cents) for day, cents in terms.draws]
    events += [(day, "interest", 0) for day in terms.settled]
    events += [(day, "instalment", 0) for day in terms.due]
    if terms.payoff is not None:
        events = [event for event in events if event[0] <= terms.payoff]
        events.append((terms.payoff, "payoff", 0))
    return sorted(events, key=lambda event: (event[0], _ORDER[event[1]]))


def interest_years(start: date, end: date, day_count: DayCount) -> float:
    """Years of interest between two days of a schedule; whole months are twelfths in 30/360."""
    if day_count.startswith("30"):
        full, rest = months_back(start, end)
        if rest == start:
            return full / MONTHS_PER_YEAR
    return year_fraction(start, end, day_count)
