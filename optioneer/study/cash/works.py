"""What moves besides the plan, and when: works on the site, the rest of the business."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from optioneer.dates import plus_months
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.model.paying import AnyPlan, Paying, Regular, StagedPlan
from optioneer.model.terms import Stage
from optioneer.model.when import When
from optioneer.money.ledger import Entry
from optioneer.study.cash.answers import DatedCost
from optioneer.study.cash.dates import Course, clock_of
from optioneer.study.cash.plans import paying_of, plan_entries
from optioneer.study.cash.price import contract_cents
from optioneer.study.needs.limits import bought_supplies
from optioneer.study.ready.ready import fitted_options
from optioneer.study.ready.road import Road
from optioneer.study.ready.spending import spending

AT_THE_ORDER = StagedPlan(
    id="at-the-order", stages=(Stage(share=1.0, when=When.from_words("order")),)
)
"""What is counted on where no way of paying is in use."""


def site_works(case: Case, package: Package) -> tuple[DatedCost, ...]:
    """Payments for supplies and trades that a package needs, as planned; none without a site.

    Notes
    -----
    Purchases whose price or dates are missing are not in it; `optioneer ready` names them.

    Raises
    ------
    RequestError
        The site's tasks or moves cannot be put in order.
    """
    if case.site is None:
        return ()
    supplies = bought_supplies(case, fitted_options(case, package))
    return tuple(
        DatedCost(payment.date, -payment.cents, payment.what, payment.payee, line.purchase.id)
        for line in spending(case, supplies, Road(case, supplies))
        for payment in line.payments
    )


def unpriced_works(case: Case, package: Package) -> tuple[str, ...]:
    """What the site needs for a package and nobody has priced yet, in words."""
    if case.site is None:
        return ()
    supplies = bought_supplies(case, fitted_options(case, package))
    lines = spending(case, supplies, Road(case, supplies))
    return tuple(
        line.purchase.what for line in lines if not line.payments and line.purchase.cents != 0
    )


def work_entries(works: Sequence[DatedCost], clock: Course) -> list[Entry]:
    """What works take out of the account."""
    return [
        Entry(clock.paid(cost.date), -cost.cents, "site", cost.what, cost.payee, cost.belongs_to)
        for cost in works
    ]


def regular_entries(paying: Paying, clock: Course, end: date) -> list[Entry]:
    """The rest of the business up to a day."""
    start = clock.days["order"]
    return [
        Entry(clock.paid(day), clock.cents(one.monthly), "regular", one.name, one.name)
        for one in paying.account.regular
        for day in _monthly(one, start, end)
        if clock.paid(day) <= end and one.monthly
    ]


def _monthly(regular: Regular, start: date, end: date) -> list[date]:
    """The days from `start` to `end` on which a regular amount falls."""
    first = max(start, regular.starts or start)
    last = min(end, regular.until or end)
    anchor = date(start.year, 1, 31)
    months = (last.year - start.year + 1) * 12
    days = [
        min(month_last, month_last.replace(day=min(regular.day, month_last.day)))
        for month_last in (plus_months(anchor, k) for k in range(months))
    ]
    return [day for day in days if first <= day <= last]


def contract_entries(
    case: Case, package: Package, plan: AnyPlan | None, until: date
) -> tuple[Entry, ...]:
    """What one plan moves, with works and the rest of the business up to a day.

    Interest of a credit line is left out. With no plan all is paid at the order.

    Raises
    ------
    CaseError
        The plan cannot be kept on these days or for this price.
    """
    planned, price = clock_of(case), contract_cents(case, package)
    clock = planned if plan else replace(planned, asked=())
    made = plan_entries(case, plan or AT_THE_ORDER, price, clock)
    works = work_entries(site_works(case, package), planned)
    return (*made.entries, *works, *regular_entries(paying_of(case), planned, until))
