"""A deal: what the dealer is owed on which day, and who pays it, account, lender or bridge."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import accumulate

from optioneer.model.paying import AnyPlan, LeasePlan, LoanPlan
from optioneer.model.terms import Bridge, Stage
from optioneer.money.cents import share_in_cents, split
from optioneer.money.discount import Dated
from optioneer.money.ledger import Entry, EntryKind
from optioneer.money.loan import LoanRow, LoanTerms, schedule
from optioneer.study.cash.dates import Course

PACKAGE = "package"
"""What payments for machine and options together belong to."""

DEPOSIT = "deposit"
"""How the ledger says what of a lease the shop pays the dealer itself."""


@dataclass(frozen=True)
class Due:
    """A payment to the dealer.

    Parameters
    ----------
    day
        As agreed, before weekends move it.
    own
        What the deposit pays of it [cents].
    lent
        What the deposit does not pay [cents].
    """

    day: date
    own: int
    lent: int
    what: str


def dues(stages: Sequence[Stage], price: int, deposit: float, clock: Course) -> list[Due]:
    """Payments to the dealer in stages; the deposit is used up first.

    Parameters
    ----------
    stages
        What the dealer asks for; their shares add up to 1.
    price
        What he gets [cents].
    deposit
        Share of it that is paid from the account.
    """
    parts = split(price, [stage.share for stage in stages]) if stages else ()
    days = [clock.nominal(stage.when) for stage in stages]
    by_day = sorted(range(len(parts)), key=lambda k: days[k])
    paid = accumulate((parts[k] for k in by_day), initial=0)
    left = [max(share_in_cents(price, deposit) - one, 0) for one in paid]
    own = {k: min(parts[k], rest) for k, rest in zip(by_day, left[:-1], strict=True)}
    return [
        Due(days[k], own[k], parts[k] - own[k], f"stage {k + 1} of {len(parts)}, {stage.when}")
        for k, stage in enumerate(stages)
    ]


def to_dealer(found: Sequence[Due], dealer: str, clock: Course) -> Iterator[Entry]:
    """What the dealer is paid, whoever pays it."""
    for due in found:
        if due.own + due.lent:
            day = clock.paid(due.day)
            yield Entry(day, -due.own - due.lent, "contract", due.what, dealer, PACKAGE)


@dataclass(frozen=True)
class Bridged:
    """A bridge loan over what the dealer is owed before a lender lets go.

    Parameters
    ----------
    flows, deductible
        What it advances (above zero) and gets back, and its interest and fee, on the days agreed
        [cents].
    """

    entries: tuple[Entry, ...] = ()
    flows: tuple[Dated, ...] = ()
    deductible: tuple[Dated, ...] = ()


NO_BRIDGE = Bridged()


def bridge_of(
    plan: LoanPlan | LeasePlan, found: Sequence[Due], end: date, clock: Course
) -> Bridged:
    """The bridge of a plan until its lender lets go on the day `end`; nothing where there is none.

    Notes
    -----
    It pays what the deposit does not, on the dealer's days before `end`, bears simple interest
    from then on and is paid back with it on that day.
    """
    early = sorted((one for one in found if one.lent and one.day < end), key=lambda one: one.day)
    if plan.bridge is None or not early:
        return NO_BRIDGE
    draws = tuple((one.day, one.lent) for one in early)
    count = plan.day_count if isinstance(plan, LoanPlan) else "30/360"
    terms = LoanTerms(rate=plan.bridge.rate, draws=draws, due=(end,), day_count=count)
    back = schedule(terms)[-1]
    fee, start = clock.cents(plan.bridge.fee), draws[0][0]
    lender = plan.lender if isinstance(plan, LoanPlan) else plan.lessor
    lent = (
        Entry(clock.paid(e.day), e.lent, "drawdown", f"bridge for {e.what}", lender, PACKAGE)
        for e in early
    )
    flows = [*((day, float(cents)) for day, cents in draws), (start, -float(fee))]
    return Bridged(
        (*lent, *_repaid(back, plan.bridge, (start, end), lender=lender, clock=clock)),
        (*(flow for flow in flows if flow[1]), (end, -float(back.paid))),
        tuple(flow for flow in ((start, float(fee)), (end, float(back.interest))) if flow[1]),
    )


def _repaid(
    back: LoanRow, bridge: Bridge, days: tuple[date, date], *, lender: str, clock: Course
) -> Iterator[Entry]:
    """Fee, interest and principal of a bridge as they leave the account."""
    start, end = map(clock.paid, days)
    if fee := clock.cents(bridge.fee):
        yield Entry(start, -fee, "fee", "fee of the bridge", lender, PACKAGE)
    if back.interest:
        yield Entry(end, -int(back.interest), "interest", "bridge paid back", lender, PACKAGE)
    yield Entry(end, -int(back.principal), "principal", "bridge paid back", lender, PACKAGE)


@dataclass(frozen=True)
class Deal:
    """A way of paying for one price, before taxes.

    Parameters
    ----------
    price
        What the dealer gets [cents].
    entries
        Everything that moves through the account because of it, money out below zero.
    flows
        What lender or lessor advance (above zero) and get back, on the days agreed [cents];
        empty when nobody lends.
    deductible
        Interest and fees of a loan on the days agreed, or the interest in what is paid for a lease
        that is a purchase in disguise [cents].
    bridge
        What pays the dealer before the lender lets go.
    """

    plan: AnyPlan
    price: int
    entries: tuple[Entry, ...]
    flows: tuple[Dated, ...] = ()
    deductible: tuple[Dated, ...] = ()
    bridge: Bridged = NO_BRIDGE

    @property
    def financed(self) -> tuple[Dated, ...]:
        """What lender, lessor and bridge advance and get back together, on the days agreed."""
        return (*self.flows, *self.bridge.flows)

    @property
    def written_off(self) -> bool:
        """Whether income tax writes the machine off from the start."""
        bought = isinstance(self.plan, LeasePlan) and self.plan.treated_as == "purchase"
        return self.owned or bought

    @property
    def owned(self) -> bool:
        """Whether the shop owns the machine from the start, and writes it off."""
        return not isinstance(self.plan, LeasePlan)

    def total(self, *kinds: EntryKind) -> int:
        """Money out less money in of these kinds [cents]."""
        return -sum(entry.cents for entry in self.entries if entry.kind in kinds)
