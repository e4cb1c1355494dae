"""What paying in a certain way does to the prices of the order."""

from optioneer.dates import MONTHS_PER_YEAR
from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.paying import LoanPlan
from optioneer.money.cents import to_cents
from optioneer.money.discount import annuity_factor
from optioneer.study.clock import clock_of
from optioneer.study.plans import plan_entries, plan_of, present_cost


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
    cents = to_cents(case.machine.base_price if price is None else price)
    if cents <= 0:
        raise RequestError("A plan has no present value per unit of price when the price is zero.")
    made = plan_entries(case, plan_of(case, plan), cents, clock_of(case))
    return present_cost(case, made.entries) / (cents / 100)


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
