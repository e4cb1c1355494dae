"""A loan in the account: who is paid when, what the lender lets go, and how it is repaid."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from optioneer.dates import plus_months
from optioneer.errors import CaseError, Fault
from optioneer.model.checks.payments import FILE, first_instalment, lent_stages, release
from optioneer.model.paying import LoanPlan
from optioneer.money.cents import amount_of, places, share_in_cents
from optioneer.money.discount import Dated
from optioneer.money.ledger import Entry, EntryKind
from optioneer.money.loan import LoanRow, LoanTerms, level_payment, schedule
from optioneer.study.cash.dates import Course
from optioneer.study.cash.payables import NO_BRIDGE, PACKAGE, Deal, Due, bridge_of, dues, to_dealer


@dataclass(frozen=True)
class Draw:
    """A payment of the lender."""

    day: date
    cents: int
    what: str


def loan(plan: LoanPlan, price: int, clock: Course) -> Deal:
    """What a loan means for a price.

    Raises
    ------
    CaseError
        Its instalments do not repay it.
    """
    owed, draws = _owed_and_drawn(plan, price, clock)
    terms = _terms(plan, draws, clock)
    _must_repay(plan, terms, clock.currency)
    rows = schedule(terms)
    bridge = bridge_of(plan, owed, terms.draws[0][0], clock) if _at_once(plan, clock) else NO_BRIDGE
    entries = [
        *to_dealer(owed, plan.dealer, clock),
        *(_drawdown(one, plan, clock) for one in draws if one.cents),
        *bridge.entries,
        *_fee_entry(plan, terms.draws[0][0], clock),
        *_repaid(plan, rows, clock),
    ]
    flows = [*_net_advances(terms.draws, clock.cents(plan.fee)), *_repayments(plan, rows)]
    deductible = tuple(_deductible(plan, rows, clock))
    return Deal(plan, price, tuple(entries), tuple(flows), deductible, bridge)


def _at_once(plan: LoanPlan, clock: Course) -> bool:
    """Whether the dealer has days of his own and the lender lets all of the loan go on one."""
    return bool(clock.asked) and not lent_stages(plan, clock.asked)


def _owed_and_drawn(plan: LoanPlan, price: int, clock: Course) -> tuple[list[Due], list[Draw]]:
    """Payments to the dealer, and those of the lender."""
    if stages := lent_stages(plan, clock.asked):
        owed = dues(stages, price, plan.deposit, clock)
        return owed, [Draw(one.day, one.lent, f"loan for {one.what}") for one in owed]
    deposit = share_in_cents(price, plan.deposit)
    released = clock.nominal(release(plan, clock.asked))
    draw = Draw(released, price - deposit, "loan for rest of the price")
    if clock.asked:
        return dues(clock.asked, price, plan.deposit, clock), [replace(draw, what="loan paid out")]
    day = clock.nominal(plan.deposit_when) if plan.deposit_when else clock.days["order"]
    rest = Due(released, 0, price - deposit, "rest of the price")
    return [Due(day, deposit, 0, "deposit"), rest], [draw]


def _drawdown(draw: Draw, plan: LoanPlan, clock: Course) -> Entry:
    day = clock.paid(draw.day)
    return Entry(day, draw.cents, "drawdown", draw.what, plan.lender, PACKAGE)


def _deductible(plan: LoanPlan, rows: tuple[LoanRow, ...], clock: Course) -> Iterator[Dated]:
    """Interest and fees, on the days agreed."""
    first = min(row.date for row in rows)
    yield (first, float(clock.cents(plan.fee)))
    for row in rows:
        early = plan.early_payoff if row.kind == "payoff" else None
        fee = share_in_cents(int(row.principal), early.fee) if early else 0
        if row.kind != "draw" and (row.interest or fee):
            yield (row.date, float(row.interest + fee))


def _terms(plan: LoanPlan, drawn: list[Draw], clock: Course) -> LoanTerms:
    first, step = first_instalment(plan, clock.days, clock.asked), plan.every_months
    draws = tuple(sorted((one.day, one.cents) for one in drawn if one.cents))
    count, staged = plan.months // step, lent_stages(plan, clock.asked)
    before = plan.interest_before or ("monthly" if staged else "first-payment")
    settled = (
        () if before == "first-payment" else _months_back(plus_months(first, -step), draws[0][0])
    )
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


def _months_back(last: date, start: date) -> tuple[date, ...]:
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

    def money_text(cents: float) -> str:
        return f"{amount_of(cents, currency):.{places(currency)}f}"

    if terms.balloon > terms.borrowed:
        lent = money_text(terms.borrowed)
        what = f"{plan.balloon:.{places(currency)}f} is more than the {lent} that are lent"
        raise CaseError([Fault(f"{where}, balloon", what, "Write a smaller one.")])
    if not any(weights):
        allowed = "Leave some instalments that are above 0."
        raise CaseError([Fault(f"{where}, steps", "no instalment repays the loan", allowed)])
    if terms.payment is not None and _last(terms) > 2 * terms.payment:
        what = f"{money_text(terms.payment)} does not repay the loan in {plan.months} months"
        allowed = f"It takes {money_text(level_payment(terms))}, more months or a balloon."
        raise CaseError([Fault(f"{where}, payment", what, allowed)])


def _last(terms: LoanTerms) -> float:
    """The last instalment without the balloon [cents]; a rest of one more may fall into it."""
    return schedule(replace(terms, payoff=None))[-1].paid - terms.balloon


def _fee_entry(plan: LoanPlan, start: date, clock: Course) -> Iterator[Entry]:
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


def _net_advances(draws: tuple[tuple[date, int], ...], fee: int) -> Iterator[Dated]:
    """Draws, the first one less the fee: a finance charge paid ahead."""
    for k, (day, cents) in enumerate(draws):
        yield (day, float(cents - (fee if k == 0 else 0)))


def _repayments(plan: LoanPlan, rows: tuple[LoanRow, ...]) -> Iterator[Dated]:
    for row in rows:
        if row.kind == "draw" or not row.paid:
            continue
        early = plan.early_payoff if row.kind == "payoff" else None
        yield (
            row.date,
            -float(row.paid + (share_in_cents(int(row.principal), early.fee) if early else 0)),
        )
