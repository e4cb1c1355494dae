"""All answers about one case together: what a report is written from."""

from dataclasses import dataclass

from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.study.account.account import AccountStudy
from optioneer.study.account.answers import BankAnswer
from optioneer.study.account.cover import asked_lender
from optioneer.study.acting.acting import acting_on
from optioneer.study.acting.answers import Acting
from optioneer.study.advice.advice import advice_with_values
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.package import fresh_look
from optioneer.study.advice.package_choice import ADVISED, asked_by_name, weighed_package
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.advice.retrofits import Band, bands, retrofit_payments
from optioneer.study.bargain.answers import Bargain
from optioneer.study.bargain.bargain import BargainRequest, negotiation
from optioneer.study.cash.cash import CashStudy, PlanLedger, cash
from optioneer.study.cash.delays import DelayedPlan, delayed_plans
from optioneer.study.cash.works import unpriced_works
from optioneer.study.problem.effort import Progress, part_of
from optioneer.study.ready.answers import Readiness
from optioneer.study.ready.ready import readiness
from optioneer.study.worth.packages import states_of
from optioneer.study.worth.pursed import always_paid
from optioneer.study.worth.valued_case import Valued

ADVISED_FIRST = 0.2
"""Part of the work that comes before the negotiation sheet."""


@dataclass(frozen=True)
class Money:
    """What leaves the bank.

    Parameters
    ----------
    chosen
        Id of the plan that the case uses; without one the cheapest.
    unpriced
        Works on the site without a price.
    lender
        The account with the machine in it, and what a lender sees of the chosen plan; none where
        too many packages are tied together to play them through.
    """

    study: CashStudy
    chosen: str
    delays: tuple[DelayedPlan, ...]
    bands: tuple[Band, ...]
    unpriced: tuple[str, ...]
    lender: tuple[AccountStudy, BankAnswer] | None = None

    @property
    def ledger(self) -> PlanLedger:
        """That of the chosen plan."""
        return next(one for one in self.study.ledgers if one.answer.id == self.chosen)


@dataclass(frozen=True)
class Dossier:
    """Everything that is known of one case.

    Parameters
    ----------
    fingerprint
        Hash over them.
    package
        The advised package.
    money
        None: the case tells no way of paying.
    ready
        None: the case tells no site.
    acting
        When to order what waits; none where too many packages are tied together to play it.
    bargain
        How far to go with the dealer; none: not asked.
    """

    case: Case
    fingerprint: str
    advice: Advice
    package: Package
    money: Money | None
    ready: Readiness | None
    acting: Acting | None
    bargain: Bargain | None = None


def dossier(
    request: AdviceRequest, *, bargain: bool = False, progress: Progress | None = None
) -> Dossier:
    """The advice on a case with its money and its site.

    `bargain` asks for the negotiation sheet, too, which takes longer than all the rest.

    Raises
    ------
    RequestError
        No package can be had within the budget, or the site's tasks cannot be put in order.
    CaseError
        A plan cannot be kept on these days or for this price.
    TooLargeError
        A cluster of related slots is too large to be swept.
    """
    first = part_of(progress, 0.0, ADVISED_FIRST) if bargain else progress
    told = advice_with_values(request, progress=first)
    case, package = request.counted, told.package
    return Dossier(
        case=case,
        fingerprint=case.fingerprint,
        advice=told.advice,
        package=package,
        money=_money(told.valued, package),
        ready=None if case.site is None else readiness(case, package),
        acting=acting_of(told.valued, package),
        bargain=_sheet(request, progress) if bargain else None,
    )


def _sheet(request: AdviceRequest, progress: Progress | None) -> Bargain:
    """The negotiation sheet of the same case, reckoned in the same way."""
    asked = BargainRequest(
        request.case,
        futures=request.futures,
        seed=request.seed,
        plan=request.plan,
        paid_at_order=request.paid_at_order,
        before_tax=request.before_tax,
    )
    return negotiation(asked, progress=part_of(progress, ADVISED_FIRST, 1.0))


def ordered_and_waiting(
    case: Case,
    package: str | None,
    without: tuple[str, ...] = (),
    *,
    progress: Progress | None = None,
) -> tuple[Package, Acting | None]:
    """The package by its name; of the advised one also when to order what waits.

    Parameters
    ----------
    case, package, without, progress
        As for `ordered_package`.

    Raises
    ------
    RequestError
        A name is unknown, or standards are left off a package that is not named.
    """
    named = asked_by_name(case, package, without)
    if named is not None:
        return named, None
    ordered, found = weighed_package(case, package, progress=progress)
    return ordered, acting_of(found, ordered) if ordered.id == ADVISED else None


def acting_of(found: Valued, package: Package) -> Acting | None:
    """When to order what waits; none where too many packages are tied together to play it."""
    if found.searches:
        return None
    paid = always_paid(found)
    return acting_on(paid, fresh_look(paid, states_of(paid, package)))


def _money(found: Valued, package: Package) -> Money | None:
    case = found.case
    if case.paying is None or not case.paying.plan:
        return None
    study = cash(case, package)
    later = bands(
        retrofit_payments(found, package),
        first_chips=case.dates.first_chips_date,
        periods=case.growth.periods,
        periods_per_year=case.growth.periods_per_year,
    )
    chosen = case.paying.use or str(study.answer.cheapest)
    return Money(
        study=study,
        chosen=chosen,
        delays=delayed_plans(case, package),
        bands=later,
        unpriced=unpriced_works(case, package),
        lender=None if found.searches else asked_lender(found, package, chosen),
    )
