"""How does the account fare with the machine in it? Every plan over the same futures."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.model.paying import AnyPlan
from optioneer.money.cents import to_cents
from optioneer.money.ledger import Entry
from optioneer.study.account.afford import affordable
from optioneer.study.account.answers import AccountAnswer, MachineMonth
from optioneer.study.account.bands import (
    Balances,
    balances_of,
    band,
    line_charges,
    months_between,
    plan_account,
)
from optioneer.study.account.flows import MachineFlow, machine_flows
from optioneer.study.advice.package_choice import asked_by_name, weighed_package
from optioneer.study.cash.cash import LINE_INTEREST, CashStudy, PlanLedger, cash, line_rate
from optioneer.study.cash.financing import lends_for_retrofits
from optioneer.study.cash.plans import paying_of, plans_of
from optioneer.study.cash.works import site_works
from optioneer.study.problem.clusters import must_be_swept
from optioneer.study.problem.effort import Progress
from optioneer.study.problem.request import Request
from optioneer.study.worth.pursed import Pursed, from_account, valued_as_paid, with_purse
from optioneer.study.worth.valued_case import Valued


@dataclass(frozen=True)
class PlanFutures:
    """One plan: what is contracted, what the machine moves, and the balances of all futures.

    Parameters
    ----------
    ledger
        The contracted entries, with the rest of the business.
    balances
        With the flows of the machine and the interest of the credit line, too.
    charged
        That interest, by the ends of months; none without a line.
    """

    ledger: PlanLedger
    flows: tuple[MachineFlow, ...]
    balances: Balances
    charged: tuple[MachineFlow, ...] = ()


@dataclass(frozen=True)
class AccountStudy:
    """The account of a package with the machine in it.

    Parameters
    ----------
    answer
        What goes into the JSON.
    plans
        One a way of paying, in the order of the file.
    """

    answer: AccountAnswer
    study: CashStudy
    plans: tuple[PlanFutures, ...]


@dataclass(frozen=True)
class AccountRequest(Request):
    """How the account fares with the machine in it is asked.

    Parameters
    ----------
    package
        Id of a candidate of the case, `base`, `all`, or ids of options with commas between them;
        none: the advised package.
    without
        Ids of standard items left off.
    only
        Id of the only plan to show; none: all of them.
    """

    package: str | None = None
    without: tuple[str, ...] = ()
    only: str | None = None


def asked_account(
    request: AccountRequest, *, progress: Progress | None = None
) -> tuple[Valued, AccountStudy]:
    """The account that is asked for, and the valued case that it is told on.

    Raises
    ------
    RequestError
        A name is unknown, or the case tells no way of paying.
    CaseError
        No plan can be kept on these days or for this price.
    TooLargeError
        A cluster of related slots has too many packages to value them all.
    """
    case = request.counted
    plans_of(case, request.only)
    named = asked_by_name(case, request.package, request.without)
    if named is None:
        package, found = weighed_package(case, request.package, progress=progress)
    else:
        package, found = named, valued_as_paid(case, progress=progress)
    return found, account_study(found, package, plan=request.only)


def account_study(found: Valued, package: Package, *, plan: str | None = None) -> AccountStudy:
    """How the account fares with a package, under every plan or under one.

    Parameters
    ----------
    found
        The valued case, with ways of paying.
    plan
        Id of the only plan to show; none: all of them.

    Raises
    ------
    RequestError
        The case tells no way of paying, or none of this id.
    CaseError
        No plan can be kept on these days or for this price.
    TooLargeError
        A cluster of related slots has too many packages to value them all.
    """
    must_be_swept(found.case, "An account with the machine in it")
    case, paying = found.case, paying_of(found.case)
    study = cash(case, package, plan=plan, works=site_works(case, package))
    span = span_of(study, case.dates.order)
    opening, keep = (
        to_cents(amount, case.machine.currency)
        for amount in (paying.account.opening, paying.account.keep_above)
    )
    moved = _MovedBy(found, package, span)
    plans = tuple(
        _with_interest(case, PlanFutures(one, flows, balances), opening, span)
        for one in study.ledgers
        for flows in (moved.under(one.deal.plan),)
        for balances in (balances_of(_without_line_interest(one), flows, opening, span),)
    )
    answer = AccountAnswer(
        currency=case.machine.currency,
        package=package.options,
        futures=found.world.valued.count,
        first_chips=case.dates.first_chips_date,
        until=span[1],
        ramp=paying.account.ramp,
        keep_cents=keep,
        line_rate=line_rate(case),
        machine=machine_months(plans[0].flows, span),
        plans=tuple(
            plan_account(one.ledger.answer.id, one.balances, keep, opening) for one in plans
        ),
        affordable=tuple(
            affordable(moved.paid_under(one.ledger.deal.plan), package, one.ledger.answer.id)
            for one in (plans if from_account(case) else ())
        ),
    )
    return AccountStudy(answer, study, plans)


def _with_interest(
    case: Case, held: PlanFutures, opening: int, span: tuple[date, date]
) -> PlanFutures:
    """The same with what the credit line costs in each future, where the account has one."""
    rate = line_rate(case)
    if rate is None:
        return held
    charged = line_charges(held.balances, span[1], rate)
    moved = (*held.flows, *charged)
    balances = balances_of(_without_line_interest(held.ledger), moved, opening, span)
    return replace(held, balances=balances, charged=charged)


def span_of(study: CashStudy, order: date) -> tuple[date, date]:
    """First and last day of what is contracted under any plan."""
    days = [entry.date for ledger in study.ledgers for entry in ledger.entries]
    return min([order, *days]), max([order, *days])


class _MovedBy:
    """What the machine moves under each plan; the same under all that do not say otherwise."""

    def __init__(self, found: Valued, package: Package, span: tuple[date, date]) -> None:
        self.found, self.package, self.until = found, package, span[1]
        self._known: dict[str, tuple[MachineFlow, ...]] = {}
        self._paid: dict[str, Pursed] = {}

    def paid_under(self, plan: AnyPlan) -> Pursed:
        """The case with retrofits only where the account under a plan can pay them."""
        if plan.id not in self._paid:
            self._paid[plan.id] = with_purse(self.found, plan)
        return self._paid[plan.id]

    def under(self, plan: AnyPlan) -> tuple[MachineFlow, ...]:
        """What it moves under a plan."""
        case = self.found.case
        lent, tied = lends_for_retrofits(case, plan), from_account(case)
        lender = plan.model_copy(update={"retrofits": "loan"}) if lent else plan
        name = plan.id if lent or tied else ""
        if name not in self._known:
            found = self.paid_under(plan) if tied else self.found
            self._known[name] = machine_flows(found, self.package, self.until, lender)
        return self._known[name]


def _without_line_interest(ledger: PlanLedger) -> list[Entry]:
    return [entry for entry in ledger.entries if entry.what != LINE_INTEREST]


def machine_months(
    flows: Sequence[MachineFlow], span: tuple[date, date]
) -> tuple[MachineMonth, ...]:
    """What the machine moves by month; months in which it moves nothing are left out."""
    found = []
    for month in months_between(*span):
        here = [one for one in flows if (one.day.year, one.day.month) == (month.year, month.month)]
        if here:
            work = [one.cents for one in here if one.kind == "work"]
            earned = np.sum(work, axis=0) if work else np.zeros_like(here[0].cents)
            net = np.sum([one.cents for one in here], axis=0)
            found.append(MachineMonth(month=f"{month:%Y-%m}", earned=band(earned), net=band(net)))
    return tuple(found)
