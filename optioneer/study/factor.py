"""What paying in a certain way does to the prices of the order."""

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.money.cents import to_cents
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
