"""The plans of a case: what each pays when, and what that is worth at the order."""

from collections.abc import Sequence
from dataclasses import dataclass

from optioneer.dates import MONTHS_PER_YEAR
from optioneer.errors import RequestError, did_you_mean
from optioneer.model.case import Case
from optioneer.model.paying import AnyPlan, LoanPlan, Paying
from optioneer.model.tax_years import tax_years
from optioneer.money.cents import amount_of, to_cents
from optioneer.money.discount import annuity_factor, present_value
from optioneer.money.ledger import Entry
from optioneer.study.cash.dates import Course, clock_of
from optioneer.study.cash.deal import Deal, deal_of
from optioneer.study.cash.taxes import deductions_of, income_tax_entries, sales_tax_entries


def paying_of(case: Case) -> Paying:
    """The ways of paying of a case.

    Raises
    ------
    RequestError
        It tells none.
    """
    if case.paying is None or not case.paying.plan:
        raise RequestError(
            f"The case '{case.name}' has no plan in paying.toml. Write a [[plan]] with an id, a "
            "kind (staged, loan or lease) and its terms."
        )
    return case.paying


def plans_of(case: Case, plan: str | None) -> tuple[AnyPlan, ...]:
    """The plan of this id, or all of them.

    Raises
    ------
    RequestError
        There is none.
    """
    return paying_of(case).plan if plan is None else (plan_of(case, plan),)


def plan_of(case: Case, plan: str) -> AnyPlan:
    """The plan of this id.

    Raises
    ------
    RequestError
        There is none.
    """
    known = {one.id: one for one in paying_of(case).plan}
    if plan not in known:
        raise RequestError(f"There is no plan '{plan}'. {did_you_mean(plan, known)}")
    return known[plan]


@dataclass(frozen=True)
class PlanEntries:
    """What one plan moves through the account by itself.

    Parameters
    ----------
    deal
        The way of paying.
    before_tax
        Its entries and those of sales tax.
    saved
        Income tax saved.
    """

    deal: Deal
    before_tax: tuple[Entry, ...]
    saved: tuple[Entry, ...]

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All of them, tax saved included."""
        return (*self.before_tax, *self.saved)


def plan_entries(case: Case, plan: AnyPlan, price: int, clock: Course) -> PlanEntries:
    """What a plan moves through the account for a price.

    Parameters
    ----------
    case
        A checked case with ways of paying.
    plan
        The plan.
    price
        What the dealer gets [cents].
    clock
        When things happen.

    Raises
    ------
    CaseError
        The plan cannot be kept on these days or for this price.
    """
    paying = paying_of(case)
    deal = deal_of(plan, price, clock)
    sales = sales_tax_entries(paying.sales_tax, deal, clock) if paying.sales_tax else ()
    before = (*deal.entries, *sales)
    if paying.income_tax is None:
        return PlanEntries(deal, before, ())
    unreclaimed = -sum(entry.cents for entry in sales)
    deducted = deductions_of(
        paying.income_tax, deal, clock, unreclaimed=unreclaimed, years=tax_years()
    )
    return PlanEntries(deal, before, income_tax_entries(paying.income_tax, deducted, clock))


def present_cost(case: Case, entries: Sequence[Entry]) -> float:
    """Money out less money in, discounted to the order at the shop's rate [money]."""
    currency = case.machine.currency
    flows = [(entry.date, -amount_of(entry.cents, currency)) for entry in entries]
    return present_value(flows, case.growth.discount_rate, case.dates.order)


def order_factor(case: Case, plan: str, price: float | None = None) -> float:
    """Present value of a plan per unit of price: what the valuation multiplies prices by.

    Parameters
    ----------
    case
        A checked case with ways of paying.
    plan
        Id of the plan.
    price
        Price at which fees, balloons and rents that do not move with it are spread; none: the
        base price of the machine [money].

    Notes
    -----
    Sales tax is included and, if the case tells income tax, the tax saved.

    Raises
    ------
    RequestError
        There is no such plan, or nothing to pay.
    CaseError
        The plan cannot be kept.
    """
    currency = case.machine.currency
    cents = to_cents(case.machine.base_price if price is None else price, currency)
    if cents <= 0:
        raise RequestError("A plan has no present value per unit of price when the price is zero.")
    made = plan_entries(case, plan_of(case, plan), cents, clock_of(case))
    return present_cost(case, made.entries) / amount_of(cents, currency)


def used_factor(case: Case) -> float:
    """Order factor of the plan that the case uses; 1 when it uses none: all paid at the order.

    Raises
    ------
    RequestError
        There is nothing to pay.
    CaseError
        The plan cannot be kept.
    """
    used = case.paying.use if case.paying else None
    return 1.0 if used is None else order_factor(case, used)


def used_retrofit_factor(case: Case) -> float:
    """Value at the fitting of what is paid for a retrofit, per unit of its charge.

    Notes
    -----
    1 where retrofits are paid in cash. Where the loan that the case uses lends for them too: the
    level instalments of a loan at its rate over its months, from one interval after the fitting
    on, discounted at the shop's rate.
    """
    used = case.paying.use if case.paying else None
    plan = None if used is None else plan_of(case, used)
    if not isinstance(plan, LoanPlan) or plan.retrofits == "cash":
        return 1.0
    years = plan.every_months / MONTHS_PER_YEAR
    count = plan.months // plan.every_months
    shop = (1.0 + case.growth.discount_rate) ** years - 1.0
    return annuity_factor(shop, count) / annuity_factor(plan.rate * years, count)


def counting_on(case: Case, plan: str | None) -> Case:
    """The same case with a plan used; none: with all paid at the order.

    Raises
    ------
    RequestError
        There is no such plan.
    """
    if plan is not None:
        plan_of(case, plan)
    if case.paying is None:
        return case
    return case.model_copy(update={"paying": case.paying.model_copy(update={"use": plan})})
