"""What getting the site ready takes out of the account, and when."""

from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.study.cash.answers import DatedCost
from optioneer.study.needs.limits import bought_supplies
from optioneer.study.ready.ready import fitted_options
from optioneer.study.ready.road import Road
from optioneer.study.ready.spending import spending


def site_works(case: Case, package: Package) -> tuple[DatedCost, ...]:
    """Payments for supplies and trades that a package needs, as planned; none without a site.

    Parameters
    ----------
    case
        A checked case.
    package
        What is ordered.

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
