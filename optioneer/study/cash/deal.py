"""What one way of paying means for one price: dated amounts, and the flows its rates come from."""

from collections.abc import Iterator
from datetime import date

from optioneer.dates import plus_months
from optioneer.errors import CaseError
from optioneer.model.checks.payments import plan_faults
from optioneer.model.paying import AnyPlan, LeasePlan, LoanPlan, StagedPlan
from optioneer.money.cents import rounded, share_in_cents
from optioneer.money.lease import imputed_interest, rent_dates
from optioneer.money.ledger import Entry
from optioneer.study.cash.dates import Course
from optioneer.study.cash.loan_payments import loan
from optioneer.study.cash.payables import DEPOSIT, PACKAGE, Deal, Due, bridge_of, dues


def deal_of(plan: AnyPlan, price: int, clock: Course) -> Deal:
    """What a plan means for a price.

    Parameters
    ----------
    price
        What the dealer gets [cents].

    Raises
    ------
    CaseError
        The plan cannot be kept on these days or for this price.
    """
    faults = list(plan_faults(plan, clock.days, clock.asked))
    if faults:
        raise CaseError(faults)
    match plan:
        case StagedPlan():
            return Deal(plan, price, tuple(_stage_entries(plan, price, clock)))
        case LoanPlan():
            return loan(plan, price, clock)
        case LeasePlan():
            return _lease(plan, price, clock)
    raise TypeError(plan)


def _stage_entries(plan: StagedPlan, price: int, clock: Course) -> Iterator[Entry]:
    stages = clock.asked or plan.stages
    owed = dues(stages, price, 1.0, clock)
    for k, (stage, due) in enumerate(zip(stages, owed, strict=True)):
        what = f"stage {k + 1} of {len(stages)}, {stage.share:.4g} of the price, {stage.when}"
        if due.own:
            yield Entry(clock.paid(due.day), -due.own, "contract", what, plan.dealer, PACKAGE)


def _lease(plan: LeasePlan, price: int, clock: Course) -> Deal:
    start = clock.nominal(plan.start)
    deposit, scale = share_in_cents(price, plan.deposit), _scale(plan, price, clock)
    rent, buyout = (
        rounded(clock.cents(plan.monthly) * scale),
        rounded(clock.cents(plan.buyout) * scale),
    )
    rents = rent_dates(
        start,
        rents=plan.months // plan.every_months,
        in_advance=plan.in_advance,
        every_months=plan.every_months,
    )
    end, fee = plus_months(start, plan.months), clock.cents(plan.fee)
    owed, disguised = dues(clock.asked, price, plan.deposit, clock), plan.treated_as == "purchase"
    bridge = bridge_of(plan, owed, start, clock)
    entries = [
        *(
            _dealer_entries(plan, owed, price - deposit, clock)
            if owed
            else _let(plan, deposit, price, clock)
        ),
        *bridge.entries,
        *_rent_entries(plan, rents, rent, clock),
        Entry(clock.paid(start), -fee, "fee", "fee of the lease", plan.lessor, PACKAGE),
        Entry(clock.paid(end), -buyout, "buyout", "buyout", plan.lessor, PACKAGE),
    ]
    flows = [(start, float(price - deposit - fee)), *((day, -float(rent)) for day in rents)]
    flows.append((end, -float(buyout)))
    return Deal(
        plan,
        price,
        tuple(entry for entry in entries if entry.cents),
        tuple(flow for flow in flows if flow[1]),
        tuple(imputed_interest([*flows, (start, float(fee))])) if disguised else (),
        bridge,
    )


def _scale(plan: LeasePlan, price: int, clock: Course) -> float:
    return 1.0 if plan.quoted_price is None else price / clock.cents(plan.quoted_price)


def _dealer_entries(plan: LeasePlan, owed: list[Due], rest: int, clock: Course) -> Iterator[Entry]:
    """The dealer is paid as he asks; the lessor pays out the rest of the price at the start."""
    for due in owed:
        day = clock.paid(due.day)
        yield Entry(day, -due.own, "contract", DEPOSIT, plan.dealer, PACKAGE)
        yield Entry(day, -due.lent, "contract", due.what, plan.dealer, PACKAGE)
    start = clock.paid(clock.nominal(plan.start))
    yield Entry(start, rest, "drawdown", "paid by the lessor", plan.lessor, PACKAGE)


def _let(plan: LeasePlan, deposit: int, price: int, clock: Course) -> Iterator[Entry]:
    start = clock.paid(clock.nominal(plan.start))
    early = clock.paid(clock.nominal(plan.deposit_when)) if plan.deposit_when else start
    rest = price - deposit
    yield Entry(early, -deposit, "contract", DEPOSIT, plan.dealer, PACKAGE)
    yield Entry(start, -rest, "contract", "rest of the price", plan.dealer, PACKAGE)
    yield Entry(start, rest, "drawdown", "paid by the lessor", plan.lessor, PACKAGE)


def _rent_entries(plan: LeasePlan, rents: list[date], rent: int, clock: Course) -> Iterator[Entry]:
    for k, day in enumerate(rents):
        what = f"rent {k + 1} of {len(rents)}"
        yield Entry(clock.paid(day), -rent, "rent", what, plan.lessor, PACKAGE)
