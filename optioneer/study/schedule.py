"""The diary of one package: its payments, its site and its milestones."""

from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.study.cash import cash
from optioneer.study.diary import Event, events
from optioneer.study.payments import Paid, payments
from optioneer.study.plans import plan_of
from optioneer.study.ready import readiness
from optioneer.study.site_works import site_works


def schedule(case: Case, package: Package, *, plan: str | None = None) -> tuple[Event, ...]:
    """Every day of a package that somebody must not miss.

    Parameters
    ----------
    case
        A checked case; without ways of paying there are no payments, without a site no bookings.
    package
        What is ordered.
    plan
        Id of the way of paying; none: the one that the case uses, or the cheapest.

    Raises
    ------
    RequestError
        There is no such plan, or the site's tasks cannot be put in order.
    CaseError
        A plan cannot be kept on these days or for this price.
    """
    ready = None if case.site is None else readiness(case, package)
    return events(case, _paid(case, package, plan), ready)


def _paid(case: Case, package: Package, plan: str | None) -> tuple[Paid, ...]:
    if plan is not None:
        plan_of(case, plan)
    if case.paying is None or not case.paying.plan:
        return ()
    study = cash(case, package, works=site_works(case, package))
    chosen = plan or case.paying.use or study.answer.cheapest
    return payments(next(one for one in study.ledgers if one.answer.id == chosen))
