"""Everything about one case that has a day."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from optioneer.dates import DAYS_PER_YEAR
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.model.when import Days, milestones
from optioneer.study.cash.cash import cash
from optioneer.study.cash.payments import Paid, payments
from optioneer.study.cash.plans import plan_of
from optioneer.study.ready.answers import Purchase, Readiness
from optioneer.study.ready.ready import readiness

EventKind = Literal["milestone", "payment", "order by", "book by", "arrival", "quote", "waiting"]
DELIVERY, FIRST_CHIPS = "delivery", "first chips"


@dataclass(frozen=True)
class Event:
    """One day that matters.

    Parameters
    ----------
    key
        Names the event among those of its case and stays when its day moves.
    cents
        Of a payment: money out is negative; none for others.
    lent
        What a lender pays of it [cents].
    years
        How often it comes, a year apart.
    """

    key: str
    day: date
    kind: EventKind
    title: str
    detail: str = ""
    cents: int | None = None
    lent: int = 0
    years: int = 1


def events(
    case: Case, paid: Sequence[Paid] = (), ready: Readiness | None = None
) -> tuple[Event, ...]:
    """Every day of a purchase that somebody must not miss, by day.

    Parameters
    ----------
    ready
        The site's road to first chips; without it the dates of the case count.
    """
    found = [*_milestones(case, ready), *_quote(case), *_payments(paid)]
    if ready is not None:
        found += [*_purchases(ready), *_bookings(ready)]
    return tuple(sorted(found, key=lambda event: (event.day, event.key)))


def _milestones(case: Case, ready: Readiness | None) -> Iterator[Event]:
    days = milestones(case.dates)
    yield Event("milestone order", days["order"], "milestone", "Order the machine")
    yield Event("milestone shipped", days["shipped"], "milestone", "Machine ready to ship")
    if ready is None:
        yield from _by_dates(days)
        return
    yield Event(f"milestone {DELIVERY}", ready.delivery, "milestone", "Machine arrives")
    accepted = next((task for task in ready.tasks if task.id == "acceptance"), None)
    day = accepted.planned_finish if accepted else days["accepted"]
    yield Event("milestone accepted", day, "milestone", "Acceptance of the machine")
    chips, planned = ready.first_chips, ready.planned_first_chips
    if chips is not None and planned is not None:
        sure = f"In half of the runs by {chips.p50}, in four of five by {chips.p80}."
        yield Event(f"milestone {FIRST_CHIPS}", planned, "milestone", "First chips", sure)


def _quote(case: Case) -> Iterator[Event]:
    """Days that the dealer's quote sets."""
    dealer = case.paying.dealer if case.paying else None
    if dealer is None:
        return
    if dealer.valid_until is not None:
        title = "Last day on which the quote holds"
        yield Event("quote ends", dealer.valid_until, "quote", title)
    if dealer.freeze is not None:
        day = dealer.freeze.on(milestones(case.dates))
        yield Event("quote freeze", day, "quote", "Last day to change what is ordered")


def _by_dates(days: Days) -> Iterator[Event]:
    yield Event(f"milestone {DELIVERY}", days["delivery"], "milestone", "Machine arrives")
    yield Event("milestone accepted", days["accepted"], "milestone", "Acceptance of the machine")
    yield Event(f"milestone {FIRST_CHIPS}", days["first_chips"], "milestone", "First chips")


def _payments(paid: Sequence[Paid]) -> Iterator[Event]:
    seen: dict[str, int] = {}
    for one in paid:
        name = f"payment {one.kind} {one.payee} {one.what}"
        seen[name] = seen.get(name, 0) + 1  # the same words may come again; the day is no name
        who = f"from {one.payee}" if one.cents > 0 else f"to {one.payee}"
        yield Event(
            key=f"{name} {seen[name]}",
            day=one.date,
            kind="payment",
            title=f"{one.what} ({who})",
            cents=one.cents,
            lent=one.lent,
        )


def _purchases(ready: Readiness) -> Iterator[Event]:
    for bought in goods(ready):
        if bought.order_by is not None:
            yield Event(
                f"order by {bought.id}",
                bought.order_by,
                "order by",
                f"Latest day to order: {bought.what}",
                f"Price by: {bought.basis}.",
            )
        if bought.planned_arrival is not None:
            title = f"Arrives: {bought.what}"
            yield Event(f"arrival {bought.id}", bought.planned_arrival, "arrival", title)


def goods(ready: Readiness) -> tuple[Purchase, ...]:
    """What is bought for the site besides the visits of trades, which are booked."""
    trades = {booking.trade for booking in ready.bookings}
    return tuple(bought for bought in ready.purchases if bought.id not in trades)


def _bookings(ready: Readiness) -> Iterator[Event]:
    for booked in ready.bookings:
        if booked.book_by is not None:
            yield Event(
                f"book by {booked.trade} {booked.task}",
                booked.book_by,
                "book by",
                f"Latest day to book: {booked.trade} for {booked.task}",
                f"Wanted on {booked.wanted_on}.",
            )


def reminder(case: Case, words: Sequence[str]) -> tuple[Event, ...]:
    """A day a year, from a year after first chips to the horizon, to look at what waits.

    Parameters
    ----------
    words
        A sentence for each choice that waits; none: there is nothing to look at.
    """
    first = milestones(case.dates)["first_chips"]
    years = int(case.growth.horizon_years) - 1
    if not words or years < 1:
        return ()
    day = first + timedelta(days=round(DAYS_PER_YEAR))
    title = "Order now what waits? Look at each choice"
    return (Event("waiting", day, "waiting", title, " ".join(words), years=years),)


def due_days(case: Case, package: Package, *, plan: str | None = None) -> tuple[Event, ...]:
    """Every day of a package that somebody must not miss.

    Parameters
    ----------
    case
        A checked case; without ways of paying there are no payments, without a site no bookings.
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
    study = cash(case, package)
    chosen = plan or case.paying.use or study.answer.cheapest
    return payments(next(one for one in study.ledgers if one.answer.id == chosen))
