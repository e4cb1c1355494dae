"""The plans of a case: what each pays when, and what that is worth at the order."""

from dataclasses import dataclass

from optioneer.errors import RequestError, did_you_mean
from optioneer.model.case import Case
from optioneer.model.paying import AnyPlan, Paying
from optioneer.model.tax_years import tax_years
from optioneer.money.ledger import Entry
from optioneer.study.cash.dates import Course
from optioneer.study.cash.deal import deal_of
from optioneer.study.cash.payables import Deal
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
    price
        What the dealer gets [cents].

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
