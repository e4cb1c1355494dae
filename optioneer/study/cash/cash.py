"""What leaves the bank on which day under each way of paying, and what each really costs."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from optioneer.errors import CaseError, Fault
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.model.paying import AnyPlan, LeasePlan
from optioneer.money.actuarial import actuarial_rates
from optioneer.money.cents import amount_of, to_cents
from optioneer.money.credit import Daily, interest_below_zero, spans_below
from optioneer.money.ledger import Entry, balances, by_day, daily_balances, days_below, lowest
from optioneer.money.rates import dated_rates, european_rates
from optioneer.study.cash.answers import (
    CashAnswer,
    CashEntry,
    DatedCost,
    Flip,
    Lowest,
    PlanCash,
    Short,
    Treatments,
    TrueCost,
)
from optioneer.study.cash.dates import ON_TIME, Course, Delay, clock_of, dearer
from optioneer.study.cash.deal import deal_of
from optioneer.study.cash.financing import before_tax, borrowing_rate, flip_rate, worth_of_paying
from optioneer.study.cash.payables import Deal
from optioneer.study.cash.plans import PlanEntries, paying_of, plan_entries, plans_of
from optioneer.study.cash.price import PriceLine, quote_lines
from optioneer.study.cash.works import regular_entries, site_works, work_entries

TREATMENTS = ("lease", "purchase")
"""What a lease may be for income tax."""

LINE_INTEREST = "interest on the credit line"
"""What the bank charges on an account below zero."""

HIGHEST_RATE = 10.0
"""Rates of 1,000 % a year and above balance some flows but are nobody's rate [1/year]."""


@dataclass(frozen=True)
class PlanLedger:
    """Everything that moves through the account under one plan.

    Parameters
    ----------
    entries
        In order, the rest of the business and works included.
    answer
        The same as in the JSON.
    notes
        What should be known of its rates.
    """

    deal: Deal
    entries: tuple[Entry, ...]
    answer: PlanCash
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Gap:
    """What sets the safest plan apart from the cheapest.

    Parameters
    ----------
    dearer
        What the safest costs more, at today's value [money].
    spare_cents
        What it leaves more in the account on its lowest day.
    """

    dearer: float
    spare_cents: int


@dataclass(frozen=True)
class CashStudy:
    """The money of one package.

    Parameters
    ----------
    answer
        What goes into the JSON.
    ledgers
        One a plan, in the order of the file.
    gap
        Between the cheapest and the safest plan; none when they are one.
    unfit
        Why plans are left out: they do not fit these days or this price.
    """

    answer: CashAnswer
    ledgers: tuple[PlanLedger, ...]
    lines: tuple[PriceLine, ...]
    gap: Gap | None
    unfit: tuple[Fault, ...] = ()


def cash(
    case: Case,
    package: Package,
    *,
    plan: str | None = None,
    works: Sequence[DatedCost] | None = None,
    delay: Delay = ON_TIME,
) -> CashStudy:
    """The cash timeline and the true cost of every plan, or of one.

    Parameters
    ----------
    case
        A checked case with ways of paying.
    plan
        Id of the only plan to show; none: all of them.
    works
        Further dated costs: site, movers, tooling; none: those of the site.

    Raises
    ------
    RequestError
        The case tells no way of paying, or none of this id.
    CaseError
        The plan asked for cannot be kept on these days or for this price, or none can; one that
        cannot keeps the others from nothing.
    """
    paying = paying_of(case)
    works = site_works(case, package) if works is None else works
    lines = quote_lines(case, package)
    price, clock = sum(line.cents for line in lines), clock_of(case, delay)
    asked = {one.id for one in plans_of(case, plan)}
    made, unfit = _fitting(case, [dearer(one, delay) for one in paying.plan], price, clock)
    if not asked & {one.deal.plan.id for one in made}:
        raise CaseError([fault for name in asked for fault in unfit[name]])
    common = (*work_entries(works, clock), *regular_entries(paying, clock, _end(case, made, works)))
    ledgers = [_ledger(case, one, common, clock) for one in made]
    cheapest, safest, gap = _cheapest_and_safest(ledgers)
    ledgers = [ledger for ledger in ledgers if ledger.answer.id in asked]
    answer = CashAnswer(
        currency=case.machine.currency,
        plans=tuple(ledger.answer for ledger in ledgers),
        cheapest=cheapest,
        safest=safest,
        borrows_at=borrowing_rate(case),
        flips=tuple(_flips(case, cheapest, [one.deal for one in made], clock)),
    )
    left_out = tuple(fault for name, faults in unfit.items() if name in asked for fault in faults)
    return CashStudy(answer, tuple(ledgers), lines, gap, left_out)


def _flips(case: Case, cheapest: str, deals: Sequence[Deal], clock: Course) -> Iterator[Flip]:
    """The rates at which the cheapest plan and each other one change places."""
    by_id = {deal.plan.id: deal for deal in deals}
    for name, deal in by_id.items():
        if name != cheapest:
            at = flip_rate(case, (by_id[cheapest], deal), clock)
            yield Flip(first=cheapest, second=name, at=at)


def _fitting(
    case: Case, plans: Sequence[AnyPlan], price: int, clock: Course
) -> tuple[list[PlanEntries], dict[str, tuple[Fault, ...]]]:
    """The plans that fit these days and this price, and what is wrong with the others by id."""
    made: list[PlanEntries] = []
    unfit: dict[str, tuple[Fault, ...]] = {}
    for plan in plans:
        try:
            made.append(plan_entries(case, plan, price, clock))
        except CaseError as error:
            unfit[plan.id] = error.faults
    return made, unfit


def _end(case: Case, made: Sequence[PlanEntries], works: Sequence[DatedCost]) -> date:
    """The last day of the timeline, the same for every plan so that they can be compared."""
    days = [entry.date for one in made for entry in one.entries]
    return max([case.dates.order, *days, *(cost.date for cost in works)])


def _ledger(case: Case, made: PlanEntries, common: Sequence[Entry], clock: Course) -> PlanLedger:
    account = paying_of(case).account
    entries = by_day([*made.entries, *common])
    opening, keep = (
        to_cents(amount, case.machine.currency) for amount in (account.opening, account.keep_above)
    )
    start = min([case.dates.order, *(entry.date for entry in entries)])
    span = (start, max([case.dates.order, *(entry.date for entry in entries)]))
    daily = daily_balances(entries, opening, span)
    if charged := _line_interest(case, daily):
        entries = by_day([*entries, *charged])
        daily = daily_balances(entries, opening, span)
    low_day, low = lowest([(start, opening), *daily])
    cost, notes = _true_cost(case, made, clock)
    answer = PlanCash(
        id=made.deal.plan.id,
        kind=made.deal.plan.kind,
        entries=_cash_entries(entries, opening),
        contract_cents=made.deal.price,
        lowest=Lowest(date=low_day, cents=low),
        days_below=days_below(daily, keep),
        opening_needed_cents=opening + keep - low,
        short=_short(case, daily),
        treatments=_treatments(case, made.deal, clock),
        true_cost=cost,
    )
    return PlanLedger(made.deal, entries, answer, notes)


def line_rate(case: Case) -> float | None:
    """What the bank charges on what is below zero, nominal a year; none without a credit line."""
    account = paying_of(case).account
    if not account.credit_limit:
        return None
    return borrowing_rate(case) if account.credit_rate is None else account.credit_rate


def _line_interest(case: Case, daily: Daily) -> list[Entry]:
    """Interest of the credit line, where the account has one."""
    rate = line_rate(case)
    if rate is None:
        return []
    return [
        Entry(day, -cents, "interest", LINE_INTEREST, "bank")
        for day, cents in interest_below_zero(daily, rate)
    ]


def _short(case: Case, daily: Daily) -> tuple[Short, ...]:
    """The days that neither the account nor its credit line covers."""
    limit = -to_cents(paying_of(case).account.credit_limit, case.machine.currency)
    return tuple(
        Short(first=one.first, last=one.last, worst=one.worst, cents=one.cents)
        for one in spans_below(daily, limit)
    )


def _cash_entries(entries: Sequence[Entry], opening: int) -> tuple[CashEntry, ...]:
    return tuple(
        CashEntry(
            date=entry.date,
            cents=entry.cents,
            kind=entry.kind,
            what=entry.what,
            payee=entry.payee,
            balance_cents=balance,
        )
        for entry, balance in zip(entries, balances(entries, opening), strict=True)
    )


def _true_cost(case: Case, made: PlanEntries, clock: Course) -> tuple[TrueCost, tuple[str, ...]]:
    deal = made.deal
    moved = [
        (entry.date, float(entry.cents))
        for entry in deal.entries
        if entry.kind in {"drawdown", "fee", "interest", "principal", "rent", "buyout"}
    ]
    rates = {
        "apr": actuarial_rates(deal.financed) if deal.flows else (),
        "effective_rate": european_rates(deal.financed) if deal.flows else (),
        "xirr": dated_rates(moved) if deal.flows else (),
    }
    total = deal.total("contract", "drawdown", "principal", "interest", "fee", "rent", "buyout")
    untaxed, currency = before_tax(case), case.machine.currency
    before = amount_of(worth_of_paying(untaxed, deal, clock), currency)
    after = None if untaxed is case else amount_of(worth_of_paying(case, deal, clock), currency)
    cost = TrueCost(
        **{name: _the_rate(found) for name, found in rates.items()},
        total_paid_cents=total,
        interest_cents=_interest(deal, total),
        present_cost=before,
        present_cost_after_tax=after,
    )
    return cost, tuple(_rate_notes(deal, rates))


def _treatments(case: Case, deal: Deal, clock: Course) -> Treatments | None:
    """A lease as what it may be for income tax: both are told."""
    if not isinstance(deal.plan, LeasePlan) or before_tax(case) is case:
        return None
    worths = [
        amount_of(worth_of_paying(case, deal_of(told, deal.price, clock), clock), clock.currency)
        for told in (deal.plan.model_copy(update={"treated_as": one}) for one in TREATMENTS)
    ]
    return Treatments(as_lease=worths[0], as_purchase=worths[1])


def _interest(deal: Deal, total: int) -> int:
    if deal.owned:
        return deal.total("interest")
    return total - deal.price - deal.total("fee")


def _the_rate(rates: Sequence[float]) -> float | None:
    """The one rate that is anybody's; none when there is none, or several."""
    near = [rate for rate in rates if rate < HIGHEST_RATE]
    return near[0] if len(near) == 1 else None


def _rate_notes(deal: Deal, rates: dict[str, tuple[float, ...]]) -> list[str]:
    if not deal.flows:
        return []
    notes = []
    for name, found in rates.items():
        near = [rate for rate in found if rate < HIGHEST_RATE]
        if not near:
            notes.append(f"{name}: no rate balances what is lent and what is paid back")
        elif len(near) > 1:
            several = ", ".join(f"{rate:.2%}" for rate in near)
            notes.append(f"{name}: several rates balance the flows ({several}); none is the one")
    return notes


def _cheapest_and_safest(ledgers: Sequence[PlanLedger]) -> tuple[str, str, Gap | None]:
    """Cheapest and safest plan, and what lies between them."""
    costs = {ledger.answer.id: _decisive(ledger.answer.true_cost) for ledger in ledgers}
    lows = {ledger.answer.id: ledger.answer.lowest.cents for ledger in ledgers}
    cheapest = min(costs, key=lambda one: costs[one])
    safest = max(lows, key=lambda one: (lows[one], -costs[one]))
    if cheapest == safest:
        return cheapest, safest, None
    return (cheapest, safest, Gap(costs[safest] - costs[cheapest], lows[safest] - lows[cheapest]))


def _decisive(cost: TrueCost) -> float:
    after = cost.present_cost_after_tax
    return cost.present_cost if after is None else after
