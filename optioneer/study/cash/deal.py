"""What one way of paying means for one price: dated amounts, and the flows its rates come from."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import accumulate

from optioneer.dates import plus_months
from optioneer.errors import CaseError, Fault
from optioneer.model.checks.payments import FILE, first_instalment, plan_faults
from optioneer.model.paying import AnyPlan, LeasePlan, LoanPlan, Stage, StagedPlan
from optioneer.money.cents import amount_of, places, rounded, share_in_cents, split
from optioneer.money.discount import Dated
from optioneer.money.lease import rent_dates
from optioneer.money.ledger import Entry, EntryKind
from optioneer.money.loan import LoanRow, LoanTerms, level_payment, schedule
from optioneer.study.cash.dates import Course

PACKAGE = "package"
"""What payments for machine and options together belong to."""


@dataclass(frozen=True)
class Deal:
    """A way of paying for one price, before taxes.

    Parameters
    ----------
    plan
        The plan.
    price
        What the dealer gets [cents].
    entries
        Everything that moves through the account because of it, money out below zero.
    flows
        What lender or lessor advance (above zero) and get back, on the days agreed [cents];
        empty when nobody lends.
    deductible
        Interest and fees of a loan on the days agreed [cents].
    """

    plan: AnyPlan
    price: int
    entries: tuple[Entry, ...]
    flows: tuple[Dated, ...] = ()
    deductible: tuple[Dated, ...] = ()

    @property
    def owned(self) -> bool:
        """Whether the shop owns the machine from the start, and writes it off."""
        return not isinstance(self.plan, LeasePlan)

    def total(self, *kinds: EntryKind) -> int:
        """Money out less money in of these kinds [cents]."""
        return -sum(entry.cents for entry in self.entries if entry.kind in kinds)


def deal_of(plan: AnyPlan, price: int, clock: Course) -> Deal:
    """What a plan means for a price.

    Parameters
    ----------
    plan
        The plan.
    price
        What the dealer gets [cents].
    clock
        When things happen.

    Raises
    ------
    CaseError
        The plan cannot be kept on these days or for this price.
    """
    faults = list(plan_faults(plan, clock.days))
    if faults:
        raise CaseError(faults)
    match plan:
        case StagedPlan():
            return Deal(plan, price, tuple(_staged(plan, price, clock)))
        case LoanPlan():
            return _loan(plan, price, clock)
        case LeasePlan():
            return _lease(plan, price, clock)
    raise TypeError(plan)


def _stage_cents(stages: tuple[Stage, ...], price: int) -> tuple[int, ...]:
    return split(price, [stage.share for stage in stages])


def _staged(plan: StagedPlan, price: int, clock: Course) -> Iterator[Entry]:
    count = len(plan.stages)
    for k, (stage, cents) in enumerate(
        zip(plan.stages, _stage_cents(plan.stages, price), strict=True)
    ):
        what = f"stage {k + 1} of {count}, {stage.share:.4g} of the price, {stage.when}"
        day = clock.paid(clock.nominal(stage.when))
        yield Entry(day, -cents, "contract", what, plan.dealer, PACKAGE)


@dataclass(frozen=True)
class _Due:
    """A payment to the dealer: how much of it comes from the account, how much is lent."""

    day: date
    own: int
    lent: int
    what: str


def _to_dealer(plan: LoanPlan, price: int, clock: Course) -> list[_Due]:
    """Payments to the dealer; the deposit is used up first."""
    deposit = share_in_cents(price, plan.deposit)
    if not plan.stages:
        day = clock.nominal(plan.deposit_when) if plan.deposit_when else clock.days["order"]
        drawn = clock.nominal(plan.drawn)
        first = [_Due(day, deposit, 0, "deposit")] if deposit else []
        return [*first, _Due(drawn, 0, price - deposit, "rest of the price")]
    parts = _stage_cents(plan.stages, price)
    left = [max(deposit - paid, 0) for paid in accumulate(parts, initial=0)]
    own = [min(part, rest) for part, rest in zip(parts, left[:-1], strict=True)]
    return [
        _Due(
            clock.nominal(stage.when),
            own[k],
            parts[k] - own[k],
            f"stage {k + 1} of {len(parts)}, {stage.when}",
        )
        for k, stage in enumerate(plan.stages)
    ]


def _loan(plan: LoanPlan, price: int, clock: Course) -> Deal:
    dues = _to_dealer(plan, price, clock)
    terms = _terms(plan, dues, clock)
    _must_repay(plan, terms, clock.currency)
    rows = schedule(terms)
    start = terms.draws[0][0]
    entries = [
        *_paid_dealer(plan, dues, clock),
        *_charged(plan, start, clock),
        *_repaid(plan, rows, clock),
    ]
    flows = [*_advanced(terms.draws, clock.cents(plan.fee)), *_returned(plan, rows)]
    return Deal(plan, price, tuple(entries), tuple(flows), tuple(_deductible(plan, rows, clock)))


def _deductible(plan: LoanPlan, rows: tuple[LoanRow, ...], clock: Course) -> Iterator[Dated]:
    """Interest and fees, on the days agreed."""
    first = min(row.date for row in rows)
    yield (first, float(clock.cents(plan.fee)))
    for row in rows:
        early = plan.early_payoff if row.kind == "payoff" else None
        fee = share_in_cents(int(row.principal), early.fee) if early else 0
        if row.kind != "draw" and (row.interest or fee):
            yield (row.date, float(row.interest + fee))


def _terms(plan: LoanPlan, dues: list[_Due], clock: Course) -> LoanTerms:
    first, step = first_instalment(plan, clock.days), plan.every_months
    draws = tuple(sorted((due.day, due.lent) for due in dues if due.lent))
    count = plan.months // step
    before = plan.interest_before or ("monthly" if plan.stages else "first-payment")
    settled = () if before == "first-payment" else _settled(plus_months(first, -step), draws[0][0])
    return LoanTerms(
        rate=plan.rate,
        draws=draws,
        due=tuple(plus_months(first, step * k) for k in range(count)),
        day_count=plan.day_count,
        settled=settled,
        added=before == "added",
        weights=_weights(plan, count),
        interest_only=plan.interest_only // step,
        balloon=clock.cents(plan.balloon),
        equal_principal=plan.repay == "equal-principal",
        payment=clock.cents(plan.payment) if plan.payment is not None else None,
        payoff=clock.nominal(plan.early_payoff.when) if plan.early_payoff else None,
    )


def _settled(last: date, start: date) -> tuple[date, ...]:
    """Month by month back from `last`, as long as it is after `start`."""
    days, k = list[date](), 0
    while (day := plus_months(last, -k)) > start:
        days.append(day)
        k += 1
    return tuple(reversed(days))


def _weights(plan: LoanPlan, count: int) -> tuple[float, ...]:
    weights = [1.0] * count if plan.steps else []
    for step in plan.steps:
        weights[step.after :] = [step.times] * (count - step.after)
    return tuple(weights)


def _must_repay(plan: LoanPlan, terms: LoanTerms, currency: str) -> None:
    """Refuse loans that their instalments do not repay.

    Raises
    ------
    CaseError
        The balloon is more than is lent, nothing repays, or an offered instalment is too small.
    """
    where = f"{FILE}, plan '{plan.id}'"
    weights = [terms.weight(k) for k in range(len(terms.due))]

    def said(cents: float) -> str:
        return f"{amount_of(cents, currency):.{places(currency)}f}"

    if terms.balloon > terms.borrowed:
        lent = said(terms.borrowed)
        what = f"{plan.balloon:.{places(currency)}f} is more than the {lent} that are lent"
        raise CaseError([Fault(f"{where}, balloon", what, "Write a smaller one.")])
    if not any(weights):
        allowed = "Leave some instalments that are above 0."
        raise CaseError([Fault(f"{where}, steps", "no instalment repays the loan", allowed)])
    if terms.payment is not None and _last(terms) > 2 * terms.payment:
        what = f"{said(terms.payment)} does not repay the loan in {plan.months} months"
        allowed = f"It takes {said(level_payment(terms))}, more months or a balloon."
        raise CaseError([Fault(f"{where}, payment", what, allowed)])


def _last(terms: LoanTerms) -> float:
    """The last instalment without the balloon [cents]; a rest of one more may fall into it."""
    return schedule(replace(terms, payoff=None))[-1].paid - terms.balloon


def _paid_dealer(plan: LoanPlan, dues: list[_Due], clock: Course) -> Iterator[Entry]:
    for due in dues:
        day = clock.paid(due.day)
        yield Entry(day, -due.own - due.lent, "contract", due.what, plan.dealer, PACKAGE)
        if due.lent:
            yield Entry(day, due.lent, "drawdown", f"loan for {due.what}", plan.lender, PACKAGE)


def _charged(plan: LoanPlan, start: date, clock: Course) -> Iterator[Entry]:
    if plan.fee:
        fee = -clock.cents(plan.fee)
        yield Entry(clock.paid(start), fee, "fee", "fee of the loan", plan.lender, PACKAGE)


def _repaid(plan: LoanPlan, rows: tuple[LoanRow, ...], clock: Course) -> Iterator[Entry]:
    count = sum(row.kind == "instalment" for row in rows)
    number = 0
    for row in rows:
        if row.kind == "draw":
            continue
        number += row.kind == "instalment"
        what = {
            "instalment": f"instalment {number} of {count}",
            "interest": "interest before the first instalment",
            "payoff": "early payoff",
        }[row.kind]
        day = clock.paid(row.date)
        yield from _parts(row, day, what, plan)
        if row.kind == "payoff" and plan.early_payoff and plan.early_payoff.fee:
            fee = -share_in_cents(int(row.principal), plan.early_payoff.fee)
            yield Entry(day, fee, "fee", "fee of the early payoff", plan.lender, PACKAGE)


def _parts(row: LoanRow, day: date, what: str, plan: LoanPlan) -> Iterator[Entry]:
    parts: tuple[tuple[float, EntryKind], ...] = (
        (row.interest, "interest"),
        (row.principal, "principal"),
    )
    for cents, kind in parts:
        if cents:
            yield Entry(day, -int(cents), kind, what, plan.lender, PACKAGE)


def _advanced(draws: tuple[tuple[date, int], ...], fee: int) -> Iterator[Dated]:
    """Draws, the first one less the fee: a finance charge paid ahead."""
    for k, (day, cents) in enumerate(draws):
        yield (day, float(cents - (fee if k == 0 else 0)))


def _returned(plan: LoanPlan, rows: tuple[LoanRow, ...]) -> Iterator[Dated]:
    for row in rows:
        if row.kind == "draw" or not row.paid:
            continue
        early = plan.early_payoff if row.kind == "payoff" else None
        yield (
            row.date,
            -float(row.paid + (share_in_cents(int(row.principal), early.fee) if early else 0)),
        )


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
    entries = [
        *_let(plan, deposit, price, clock),
        *_rented(plan, rents, rent, clock),
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
    )


def _scale(plan: LeasePlan, price: int, clock: Course) -> float:
    return 1.0 if plan.quoted_price is None else price / clock.cents(plan.quoted_price)


def _let(plan: LeasePlan, deposit: int, price: int, clock: Course) -> Iterator[Entry]:
    start = clock.paid(clock.nominal(plan.start))
    early = clock.paid(clock.nominal(plan.deposit_when)) if plan.deposit_when else start
    rest = price - deposit
    yield Entry(early, -deposit, "contract", "deposit", plan.dealer, PACKAGE)
    yield Entry(start, -rest, "contract", "rest of the price", plan.dealer, PACKAGE)
    yield Entry(start, rest, "drawdown", "paid by the lessor", plan.lessor, PACKAGE)


def _rented(plan: LeasePlan, rents: list[date], rent: int, clock: Course) -> Iterator[Entry]:
    for k, day in enumerate(rents):
        what = f"rent {k + 1} of {len(rents)}"
        yield Entry(clock.paid(day), -rent, "rent", what, plan.lessor, PACKAGE)
