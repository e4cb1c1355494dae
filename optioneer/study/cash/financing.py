"""What paying is worth at the order: one treatment of tax and finance for orders and retrofits.

Ways of paying are compared at what the shop borrows at, so that a way changes the advice only by
its fees, its rate against that one, and when the dealer gets his money. Planning figures: ask the
accountant.

References
----------
Myers, "Interactions of corporate financing and investment decisions", Journal of Finance 29 (1974)
1-25; Myers, Dill & Bautista, "Valuation of financial lease contracts", Journal of Finance 31 (1976)
799-819: financing is valued at the borrowing rate after tax (from memory).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import pairwise

from optioneer.dates import DAYS_PER_YEAR, MONTHS_PER_YEAR
from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.paying import AnyPlan, IncomeTax, LeasePlan, LoanPlan, Paying
from optioneer.money.cents import to_cents
from optioneer.money.discount import Dated, discount_factor
from optioneer.money.ledger import Entry
from optioneer.money.loan import interest_years
from optioneer.study.cash.dates import Course, clock_of
from optioneer.study.cash.deal import deal_of
from optioneer.study.cash.payables import Deal
from optioneer.study.cash.plans import plan_of
from optioneer.study.cash.taxes import depreciation_saves, sales_tax_entries, shares_saved

HIGHEST, STEPS = 0.4, 40
"""Highest borrowing rate at which ways of paying are compared, and steps up to it."""

NOTIONAL = 10_000_000
"""What shares of a retrofit's depreciation are worked out on [cents]."""


def income_tax_rate(case: Case) -> float:
    """Rate of income tax; 0 where the case tells none."""
    tax = case.paying.income_tax if case.paying else None
    return 0.0 if tax is None else tax.rate


def shop_rate(case: Case) -> float:
    """What money earns in the shop after tax [1/year]."""
    return case.growth.discount_rate * (1.0 - income_tax_rate(case))


def at_rate(case: Case, rate: float) -> Case:
    """The same case where money earns another rate in the shop."""
    if rate == case.growth.discount_rate:
        return case
    growth = case.growth.model_copy(update={"discount_rate": rate})
    return case.model_copy(update={"growth": growth})


def borrowing_rate(case: Case) -> float:
    """What the shop borrows at, before tax [1/year].

    As the case tells it, else the lowest rate of a loan on offer, else what money earns in the
    shop.
    """
    told = case.paying.account.borrows_at if case.paying else None
    if told is not None:
        return told
    loans = [plan.rate for plan in _plans(case) if isinstance(plan, LoanPlan)]
    return min(loans, default=case.growth.discount_rate)


def _plans(case: Case) -> tuple[AnyPlan, ...]:
    return case.paying.plan if case.paying else ()


def before_tax(case: Case) -> Case:
    """The same case without income tax."""
    return taxed_by(case, None)


def taxed_by(case: Case, tax: IncomeTax | None) -> Case:
    """The same case under an income tax, whatever its own is; none: without any."""
    paying = case.paying or Paying()
    if paying.income_tax == tax:
        return case
    return case.model_copy(update={"paying": paying.model_copy(update={"income_tax": tax})})


def dealers_worth(case: Case, day: date, at: float | None = None) -> float:
    """Present value at the order of 1 that the dealer gets on a day.

    Parameters
    ----------
    at
        Borrowing rate; none: that of the case [1/year].

    Notes
    -----
    At the borrowing rate after tax, effective a year, ACT/365.
    """
    rate = borrowing_rate(case) if at is None else at
    years = (day - case.dates.order).days / DAYS_PER_YEAR
    return discount_factor(rate * (1.0 - income_tax_rate(case)), years)


def order_factor(case: Case, plan: str, *, at: float | None = None) -> float:
    """Present value of a plan per unit of price: what the valuation multiplies prices by.

    Fees, balloons and rents that do not move with the price are spread over the base price of the
    machine.

    Parameters
    ----------
    case
        A checked case with ways of paying.
    plan
        Id of the plan.
    at
        Borrowing rate; none: that of the case [1/year].

    Raises
    ------
    RequestError
        There is no such plan, or nothing to pay.
    CaseError
        The plan cannot be kept.
    """
    cents = to_cents(case.machine.base_price, case.machine.currency)
    if cents <= 0:
        raise RequestError("A plan has no present value per unit of price when the price is zero.")
    clock = clock_of(case)
    deal = deal_of(plan_of(case, plan), cents, clock)
    return worth_of_paying(case, deal, clock, at=at) / cents


def worth_of_paying(case: Case, deal: Deal, clock: Course, *, at: float | None = None) -> float:
    """Present value at the order of paying in a way, sales and income tax included [cents].

    Parameters
    ----------
    case, deal, clock
        The case, the way of paying for one price, and when things happen.
    at
        Borrowing rate; none: that of the case [1/year].

    Notes
    -----
    What the dealer gets on his days, less the tax saved by depreciation, and what passes between
    shop and lender after tax; of a lease the deposit, the rents and its fee after tax, and the
    buyout. A lease has no depreciation, unless it is treated as a purchase: then only the interest
    in what is paid for it is deducted.
    """
    rate = borrowing_rate(case) if at is None else at
    return _worth_at(rate, case, deal, fixed=_fixed(case, deal, clock))


@dataclass(frozen=True)
class _Loan:
    """What passes after tax [cents], each with the years of interest since the last day."""

    first: date
    steps: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class _Fixed:
    """What is the same at every rate: sales tax, what writing off saves [cents], and loans."""

    sales: tuple[Entry, ...]
    saved: float
    loans: tuple[_Loan, ...]


def _fixed(case: Case, deal: Deal, clock: Course) -> _Fixed:
    sales = case.paying.sales_tax if case.paying else None
    taxed = sales_tax_entries(sales, deal, clock) if sales is not None else ()
    if isinstance(deal.plan, LeasePlan) and not deal.written_off:
        return _Fixed(taxed, 0.0, ())
    basis = deal.price - sum(entry.cents for entry in taxed)
    saved = tax_saved(case, clock, (case.dates.order, None), basis)
    return _Fixed(taxed, saved, _loans(case, deal))


def _worth_at(at: float, case: Case, deal: Deal, *, fixed: _Fixed) -> float:
    worth, rate = partial(dealers_worth, case, at=at), income_tax_rate(case)
    paid = sum(-entry.cents * worth(entry.date) for entry in fixed.sales)
    if isinstance(deal.plan, LeasePlan):
        kinds = ("fee", "interest") if deal.written_off else ("rent", "fee", "interest")
        kept = dict.fromkeys(kinds, 1.0 - rate)
        flows = ((e.date, -e.cents * kept.get(e.kind, 1.0)) for e in deal.entries)
        paid += sum(amount * worth(day) for day, amount in flows)
        if not deal.written_off:
            return paid
        return paid - fixed.saved - rate * sum(cents * worth(day) for day, cents in deal.deductible)
    paid += sum(-e.cents * worth(e.date) for e in deal.entries if e.kind == "contract")
    return paid - fixed.saved + sum(_lenders(case, at, loan) for loan in fixed.loans)


def _loans(case: Case, deal: Deal) -> tuple[_Loan, ...]:
    """The loan of a plan and what bridges it, as far as there are any."""
    if not isinstance(deal.plan, LoanPlan):
        return ()
    passed = ((deal.flows, deal.deductible), (deal.bridge.flows, deal.bridge.deductible))
    return tuple(_loan(case, deal.plan, *one) for one in passed if one[0])


def _loan(case: Case, plan: LoanPlan, flows: Sequence[Dated], deductible: Sequence[Dated]) -> _Loan:
    t = income_tax_rate(case)
    amounts: dict[date, float] = {}
    for day, amount in (*flows, *((day, t * cents) for day, cents in deductible)):
        amounts[day] = amounts.get(day, 0.0) - amount
    days = sorted(amounts)
    years = [interest_years(a, b, plan.day_count) for a, b in pairwise([days[0], *days])]
    return _Loan(days[0], tuple(zip(years, (amounts[day] for day in days), strict=True)))


def _lenders(case: Case, at: float, loan: _Loan) -> float:
    """Present value at the order of what passes between shop and lender after tax [cents].

    Nothing for a loan without fees at the borrowing rate: what is owed grows at that rate after
    tax from day to day of its schedule as its interest counts days.
    """
    total, factor, kept = 0.0, 1.0, 1.0 - income_tax_rate(case)
    for years, amount in loan.steps:
        factor /= 1.0 + at * kept * years
        total += factor * amount
    return total * dealers_worth(case, loan.first, at)


def tax_saved(
    case: Case, clock: Course, days: tuple[date, date | None], basis: int = NOTIONAL
) -> float:
    """What `depreciation_saves` with the tax rules and the rate of a case; 0 without income tax."""
    tax = case.paying.income_tax if case.paying else None
    if tax is None:
        return 0.0
    return depreciation_saves(tax, clock, days, basis=basis, rate=shop_rate(case))


def used_factor(case: Case) -> float:
    """Order factor of the plan that the case uses; else all is paid at the order, 1 before tax.

    Raises
    ------
    RequestError
        There is nothing to pay.
    CaseError
        The plan cannot be kept.
    """
    used = case.paying.use if case.paying else None
    if used is not None:
        return order_factor(case, used)
    if income_tax_rate(case) == 0.0:
        return 1.0
    return 1.0 - tax_saved(case, clock_of(case), (case.dates.order, None)) / NOTIONAL


def cash_factor(case: Case) -> float:
    """Value at the order of paying 1 from the account then, sales and income tax included.

    What a retrofit on that day would count: works on the site are paid so.
    """
    asked, kept = _sales_tax(case) if case.paying and case.paying.use else (0.0, 0.0)
    day = case.dates.order
    saved = tax_saved(case, clock_of(case), (day, day)) / NOTIONAL
    return 1.0 + asked - saved * (1.0 + kept)


def flip_rate(case: Case, deals: tuple[Deal, Deal], clock: Course) -> float | None:
    """Borrowing rate at which two ways of paying one price cost the same; none if they never do.

    Notes
    -----
    The one nearest to what the shop borrows at, up to `HIGHEST`.
    """
    fixed = [_fixed(case, deal, clock) for deal in deals]

    def gap(at: float) -> float:
        first, second = (_worth_at(at, case, d, fixed=f) for d, f in zip(deals, fixed, strict=True))
        return first - second

    rates = [step / STEPS * HIGHEST for step in range(STEPS + 1)]
    gaps = [gap(rate) for rate in rates]
    turns = [
        _root(gap, low, high)
        for (low, a), (high, b) in pairwise(zip(rates, gaps, strict=True))
        if (a < 0.0) != (b < 0.0)
    ]
    here = borrowing_rate(case)
    return min(turns, key=lambda rate: abs(rate - here), default=None)


def _root(gap: Callable[[float], float], low: float, high: float) -> float:
    from scipy.optimize import brentq  # noqa: PLC0415 - slow, and most ways of paying never turn

    return float(brentq(gap, low, high, xtol=1e-7))


def retrofit_factors(case: Case) -> tuple[float, ...]:
    """Value at the fitting of paying for a retrofit, per unit of its charge, by period.

    Empty where it is 1 throughout: in cash, without tax. Sales tax counts as at the order, where
    a way of paying is in use.
    """
    used = case.paying.use if case.paying else None
    if used is None and income_tax_rate(case) == 0.0:
        return ()
    plan = None if used is None else plan_of(case, used)
    asked, kept = _sales_tax(case) if plan is not None else (0.0, 0.0)
    paid = 1.0 + asked + _lent(case, plan)
    saved = [tax_share * (1.0 + kept) for tax_share in _saved_by_period(case)]
    factors = tuple(paid - share for share in saved)
    return () if all(factor == 1.0 for factor in factors) else factors


def _saved_by_period(case: Case) -> tuple[float, ...]:
    """Share of a retrofit's charge that its depreciation saves, by period of its fitting."""
    growth = case.growth
    return shares_saved(
        case.paying or Paying(),
        case.dates,
        case.machine.currency,
        basis=NOTIONAL,
        rate=shop_rate(case),
        periods=growth.periods,
        periods_per_year=growth.periods_per_year,
    )


def _sales_tax(case: Case) -> tuple[float, float]:
    """What sales tax adds to a charge, its return taken off, and what never comes back."""
    sales = case.paying.sales_tax if case.paying else None
    if sales is None:
        return 0.0, 0.0
    if sales.reclaimed_after_days is None:
        return sales.rate, sales.rate
    years = sales.reclaimed_after_days / DAYS_PER_YEAR
    return sales.rate * (1.0 - discount_factor(shop_rate(case), years)), 0.0


def lends_for_retrofits(case: Case, plan: AnyPlan) -> bool:
    """Whether retrofits are lent as a plan lends: because it says so, or the account does."""
    if not isinstance(plan, LoanPlan):
        return False
    asked = case.paying is not None and case.paying.account.retrofits == "loan"
    return asked or plan.retrofits == "loan"


def _lent(case: Case, plan: AnyPlan | None) -> float:
    """What a loan for a retrofit costs beyond its charge; nothing in cash or at the usual rate.

    The level instalments of a loan at the plan's rate over its months, from one interval after
    the fitting on, after tax, at the borrowing rate.
    """
    if not isinstance(plan, LoanPlan) or not lends_for_retrofits(case, plan):
        return 0.0
    t, years = income_tax_rate(case), plan.every_months / MONTHS_PER_YEAR
    count, rate = plan.months // plan.every_months, plan.rate * years
    at = borrowing_rate(case) * (1.0 - t) * years
    level = rate / (1.0 - (1.0 + rate) ** -count) if rate else 1.0 / count
    owed, worth = 1.0, 0.0
    for number in range(1, count + 1):
        worth += (level - t * owed * rate) * discount_factor(at, number)
        owed -= level - owed * rate
    return worth - 1.0
