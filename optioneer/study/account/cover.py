"""What a lender sees: by year, how often what is left covers what is due, and what secures it.

Cover is the debt service coverage ratio of lending: what is left for the lender before he is paid,
over principal, interest and rents that are due (standard lending term, no one source).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

import numpy as np

from optioneer.errors import RequestError, did_you_mean
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.money.cents import amount_of, to_cents
from optioneer.money.ledger import Entry
from optioneer.study.account.account import AccountStudy, PlanFutures, account_study
from optioneer.study.account.answers import BankAnswer, CoverYear, Payrolls, SourceOrUse
from optioneer.study.account.bands import band
from optioneer.study.account.flows import FlowKind, ManyCents
from optioneer.study.account.work import base_worth
from optioneer.study.cash.cash import LINE_INTEREST
from optioneer.study.cash.financing import income_tax_rate
from optioneer.study.cash.plans import paying_of
from optioneer.study.worth.valued_case import Valued

SERVICE = frozenset({"principal", "interest", "rent", "buyout"})
"""Kinds of entries that are debt service."""

HALF = 0.5
"""Share of the work that comes in the lender's question: what if half of it does?"""


@dataclass(frozen=True)
class _Year:
    """One calendar year of a plan."""

    year: int
    plan: PlanFutures

    def contracted(self, *kinds: str) -> int:
        """Entries of these kinds, money out below zero [cents]."""
        here = (e for e in self.plan.ledger.entries if e.date.year == self.year)
        return sum(entry.cents for entry in here if entry.kind in kinds)

    def moved(self, *kinds: FlowKind) -> ManyCents:
        """What the machine moves of these kinds, shape (n,) [cents]."""
        flows = (*self.plan.flows, *self.plan.charged)
        rows = [one.cents for one in flows if one.kind in kinds and one.day.year == self.year]
        none = np.zeros(self.plan.balances.cents.shape[1], dtype=np.int64)
        return np.asarray(np.sum([none, *rows], axis=0))

    @property
    def service(self) -> int:
        """Principal, interest and rents due [cents]; a loan that a loan pays back is none.

        Of the interest of a credit line what half of the futures bear with the machine.
        """
        left_out = sum(
            entry.cents
            for entry in self.plan.ledger.entries
            if entry.date.year == self.year
            if entry.what == LINE_INTEREST
            or (entry.what == "bridge paid back" and entry.kind == "principal")
        )
        return -(self.contracted(*SERVICE) - left_out) - band(self.moved("line")).p50

    def left(self, share: float = 1.0, rate: float = 0.0) -> ManyCents:
        """Left for the lender: the rest of the business and the machine, tax paid, (n,) [cents].

        Of work only a `share`, and then less tax at `rate`. Retrofits and price are no part of it.
        """
        rest = self.contracted("regular", "income-tax")
        gone = np.rint(self.moved("work") * (1.0 - share) * (1.0 - rate)).astype(np.int64)
        return np.asarray(rest + self.moved("work", "upkeep", "tax") - gone)


def lenders_view(found: Valued, told: AccountStudy, plan: str) -> BankAnswer:
    """What a lender sees of one way of paying.

    Parameters
    ----------
    plan
        Id of the way of paying; it was told.
    """
    held = next(one for one in told.plans if one.ledger.answer.id == plan)
    years = tuple(_cover_years(found, held))
    return BankAnswer(
        currency=told.answer.currency,
        plan=plan,
        price_cents=held.ledger.deal.price,
        sources=tuple(_sources(held)),
        years=years,
        payrolls=tuple(_payrolls(found, held)),
        least_p10=min((y.p10 for y in years if y.p10 is not None), default=None),
        least_p50=min((y.p50 for y in years if y.p50 is not None), default=None),
    )


def asked_lender(
    found: Valued, package: Package, plan: str | None = None
) -> tuple[AccountStudy, BankAnswer]:
    """The account of a package, and what a lender sees of a plan, see `lent_plan`."""
    told = account_study(found, package)
    return told, lenders_view(found, told, lent_plan(found.case, told, plan))


def lent_plan(case: Case, told: AccountStudy, plan: str | None) -> str:
    """The way of paying that a lender is shown: as asked, the one in use, or the cheapest.

    Raises
    ------
    RequestError
        There is no such plan, or it does not fit.
    """
    known = [one.ledger.answer.id for one in told.plans]
    wished = (plan, case.paying.use if case.paying else None, told.study.answer.cheapest)
    if plan is not None and plan not in known:
        raise RequestError(f"There is no plan '{plan}' that fits. {did_you_mean(plan, known)}")
    return next(one for one in wished if one in known)


def _years(held: PlanFutures) -> list[int]:
    days = held.balances.days
    return list(range(days[0].year, days[-1].year + 1))


def _cover_years(found: Valued, held: PlanFutures) -> Iterator[CoverYear]:
    owed = 0
    for number in _years(held):
        year = _Year(number, held)
        owed += year.contracted("drawdown") + year.contracted("principal")
        half = band(year.left(HALF, income_tax_rate(found.case)))
        left, service = band(year.left()), year.service
        worth = _worth(found, number)
        yield CoverYear(
            year=number,
            work=band(year.moved("work")),
            rest_cents=year.contracted("regular", "income-tax"),
            left=left,
            half_cents=half.p50,
            service_cents=service,
            p10=_ratio(left.p10, service),
            p50=_ratio(left.p50, service),
            half=_ratio(half.p50, service),
            owed_cents=owed if held.ledger.deal.owned else 0,
            worth_cents=worth,
        )


def _ratio(left: int, service: int) -> float | None:
    return left / service if service else None


def _worth(found: Valued, year: int) -> int:
    """What the bare machine would bring at the end of a year; before it is there, nothing."""
    case, end = found.case, date(year, 12, 31)
    start = case.dates.first_chips_date
    if end < start:
        return 0
    periods = (end - start).days / 365 * case.growth.periods_per_year
    worth = base_worth(found, min(int(periods), case.growth.periods))
    return to_cents(worth, case.machine.currency)


def _sources(held: PlanFutures) -> Iterator[SourceOrUse]:
    """Where the price comes from and where it goes, each adding up to the same."""
    price = held.ledger.deal.price
    lent = sum(_lent(entry) for entry in held.ledger.deal.entries)
    yield SourceOrUse(what="own money", cents=price - lent, source=True)
    if lent:
        lender = next(e.payee for e in held.ledger.deal.entries if _lent(e))
        yield SourceOrUse(what=lender, cents=lent, source=True)
    dealer = held.ledger.deal.plan.dealer
    yield SourceOrUse(what=dealer, cents=price, source=False)


def _lent(entry: Entry) -> int:
    bridge = entry.what.startswith("bridge for")
    return entry.cents if entry.kind == "drawdown" and not bridge else 0


def _payrolls(found: Valued, held: PlanFutures) -> Iterator[Payrolls]:
    """Months of payroll in hand on the lowest day of each year; nothing without a payroll."""
    payroll = paying_of(found.case).account.payroll
    if payroll is None:
        return
    days = held.balances.days
    for number in _years(held):
        before = max(sum(day.year < number for day in days) - 1, 0)
        after = sum(day.year <= number for day in days)
        lowest = band(held.balances.cents[before:after].min(axis=0))
        p10, p50 = (
            amount_of(cents, found.case.machine.currency) / payroll
            for cents in (lowest.p10, lowest.p50)
        )
        yield Payrolls(year=number, p10=p10, p50=p50)
