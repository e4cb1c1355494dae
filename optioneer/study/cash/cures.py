"""What would keep the account from falling too low: more in it, another plan, or later days."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Literal

from optioneer.errors import CaseError
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.money.cents import to_cents
from optioneer.money.ledger import daily_balances, days_below, lowest
from optioneer.study.cash.answers import DatedCost
from optioneer.study.cash.cash import CashStudy, PlanLedger, cash
from optioneer.study.cash.delays import with_only
from optioneer.study.cash.plans import paying_of

LATER_ORDER = (4, 13, 26)
"""By how much the order is put off [weeks]."""

LATER_WORKS = (4, 8)
"""By how much what is paid for the site is put off [weeks]."""


CureKind = Literal["opening", "plan", "order", "site"]


@dataclass(frozen=True)
class Cure:
    """One thing that could be done about a low balance, and what it leaves.

    Parameters
    ----------
    kind
        More money on the morning of the order; another plan; a later order; later payments for
        the site.
    plan
        Id of the way of paying.
    weeks
        How much later, of an order or of the site.
    opening_cents
        Balance on the morning of the order.
    lowest_cents
        Lowest balance at the end of a day.
    days_below
        Days that end below what should be kept; 0: it cures.
    fault
        Why it cannot be done; then the figures are those of the plan as it is.
    """

    kind: CureKind
    plan: str
    weeks: int
    opening_cents: int
    lowest_cents: int
    days_below: int
    fault: str = ""


def cures(
    case: Case, package: Package, study: CashStudy, works: Sequence[DatedCost], *, plan: str
) -> tuple[Cure, ...]:
    """What could be done about a plan that falls below what should be kept; nothing if it does not.

    Parameters
    ----------
    case
        A checked case with ways of paying.
    works
        Further dated costs in it.
    plan
        Id of the plan to keep.

    Notes
    -----
    With a later order every agreed day of the machine moves with it, the site is planned anew, and
    the account has the rest of the business until then.
    """
    held = next(ledger for ledger in study.ledgers if ledger.answer.id == plan)
    if not held.answer.days_below:
        return ()
    alone = with_only(case, plan)
    return (
        _more_money(case, held),
        *_other_plans(case, study, plan),
        *(_later_order(alone, package, held, weeks) for weeks in LATER_ORDER),
        *(_later_works(alone, package, works, weeks) for weeks in LATER_WORKS if works),
    )


def _opening(case: Case) -> int:
    return to_cents(paying_of(case).account.opening, case.machine.currency)


def _keep(case: Case) -> int:
    return to_cents(paying_of(case).account.keep_above, case.machine.currency)


def _more_money(case: Case, held: PlanLedger) -> Cure:
    needed = held.answer.opening_needed_cents
    return Cure("opening", held.answer.id, 0, needed, _keep(case), 0)


def _other_plans(case: Case, study: CashStudy, plan: str) -> Iterator[Cure]:
    for ledger in study.ledgers:
        if ledger.answer.id != plan:
            yield _as_it_is("plan", case, ledger, 0)


def _later_order(case: Case, package: Package, held: PlanLedger, weeks: int) -> Cure:
    later = ordered_later(case, weeks)
    try:
        (made,) = cash(later, package).ledgers
    except CaseError as error:
        return replace(_as_it_is("order", case, held, weeks), fault=str(error.faults[0]))
    opening = _opening(case) + _business_between(held, made)
    span = (later.dates.order, max(entry.date for entry in made.entries))
    daily = daily_balances(made.entries, opening, span)
    low = min(opening, lowest(daily)[1])
    return Cure("order", held.answer.id, weeks, opening, low, days_below(daily, _keep(case)))


def ordered_later(case: Case, weeks: int) -> Case:
    """The same case with order and first chips so many weeks later."""
    late, dates = timedelta(weeks=weeks), case.dates
    first = None if dates.first_chips is None else dates.first_chips + late
    moved = dates.model_copy(update={"order": dates.order + late, "first_chips": first})
    return case.model_copy(update={"dates": moved})


def _business_between(held: PlanLedger, made: PlanLedger) -> int:
    """What the rest of the business moves from the order as planned to the later one [cents].

    Both timelines are compared up to where the shorter one ends.
    """
    end = min(ledger.entries[-1].date for ledger in (held, made))
    sums = [
        sum(e.cents for e in ledger.entries if e.kind == "regular" and e.date <= end)
        for ledger in (held, made)
    ]
    return sums[0] - sums[1]


def _later_works(case: Case, package: Package, works: Sequence[DatedCost], weeks: int) -> Cure:
    moved = tuple(replace(cost, date=cost.date + timedelta(weeks=weeks)) for cost in works)
    (made,) = cash(case, package, works=moved).ledgers
    return _as_it_is("site", case, made, weeks)


def _as_it_is(kind: CureKind, case: Case, ledger: PlanLedger, weeks: int) -> Cure:
    answer = ledger.answer
    return Cure(kind, answer.id, weeks, _opening(case), answer.lowest.cents, answer.days_below)
