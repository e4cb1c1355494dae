"""What the site costs, when it must be ordered and when it is paid."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.site import RULE_OF_THUMB, Site, Supply
from optioneer.model.works import CREW, Supplier, Trade
from optioneer.money.cents import amount_of, share_in_cents, to_cents
from optioneer.money.discount import present_value
from optioneer.study.needs.limits import supply_cost
from optioneer.study.ready.answers import Booking, Payment, Purchase
from optioneer.study.ready.road import Road


@dataclass(frozen=True)
class SpendingLine:
    """A purchase and what is paid for it."""

    purchase: Purchase
    payments: tuple[Payment, ...]


def spending(case: Case, supplies: Sequence[Supply], road: Road) -> tuple[SpendingLine, ...]:
    """Every purchase with its payments, supplies first, then trades."""
    site = case.site or Site()
    bought = (_supply_line(case, supply, road) for supply in supplies)
    return (*bought, *_trade_lines(site, road, case.machine.currency))


def _supply_line(case: Case, supply: Supply, road: Road) -> SpendingLine:
    site = case.site or Site()
    cost = supply_cost(supply, case.machine.base_price, site.needs.sump_l)
    payee = _payee(site, supply.supplier)
    known = supply.id in road.number
    ordered, arrives = _planned_days(road, supply.id) if known else (None, None)
    purchase = Purchase(
        id=supply.id,
        what=supply.what,
        cents=None if cost is None else to_cents(cost, case.machine.currency),
        order_by=_latest(road, supply.id)[0] if known else None,
        arrives=_latest(road, supply.id)[1] if known else None,
        planned_order=ordered,
        planned_arrival=arrives,
        payee=payee.name or payee.id,
        basis=_basis(cost, quoted=supply.quoted),
    )
    return SpendingLine(purchase, tuple(_paid(purchase, payee)))


def _basis(cost: float | None, *, quoted: bool) -> str:
    if cost is None:
        return "missing"
    return "quote" if quoted else RULE_OF_THUMB


def _latest(road: Road, key: str) -> tuple[date, date]:
    number = road.number[key]
    late = road.late
    return (
        road.start_date(number, float(late.starts[number, 0])),
        road.finish_date(number, float(late.finishes[number, 0])),
    )


def _planned_days(road: Road, key: str) -> tuple[date, date]:
    number = road.number[key]
    return (
        road.start_date(number, float(road.planned.starts[number, 0])),
        road.planned_finish(key),
    )


def _payee(site: Site, key: str | None) -> Supplier:
    """The supplier of an id; somebody unnamed who is paid on arrival otherwise."""
    found = next((supplier for supplier in site.supplier if supplier.id == key), None)
    return found or Supplier(id="unnamed", name="supplier not named")


def _paid(purchase: Purchase, payee: Supplier) -> Iterator[Payment]:
    """Deposit with the order, the rest after arrival; nothing while price or dates are missing."""
    ordered, arrives, cents = purchase.planned_order, purchase.planned_arrival, purchase.cents
    if cents is None or ordered is None or arrives is None:
        return
    deposit = share_in_cents(cents, payee.deposit)
    rest = arrives + timedelta(days=payee.net_days)
    for day, part in ((ordered, deposit), (rest, cents - deposit)):
        if part:
            name = payee.name or payee.id
            yield Payment(date=day, cents=-part, what=purchase.what, payee=name)


def worth_at_order(case: Case, payments: Sequence[Payment], rate: float) -> float:
    """What payments are worth at the order [money, costs positive]; ACT/365."""
    currency = case.machine.currency
    flows = [(p.date, -amount_of(p.cents, currency)) for p in payments]
    return present_value(flows, rate, case.dates.order)


def bookings(site: Site, road: Road) -> tuple[Booking, ...]:
    """When to book whom, by the date of booking."""
    found = [
        Booking(
            trade=trade,
            task=step.id,
            book_by=_booking_day(site, road, number, trade, starts=road.late.starts),
            planned_booking=_booking_day(site, road, number, trade, starts=road.planned.starts),
            wanted_on=road.start_date(number, float(road.planned.starts[number, 0])),
        )
        for number, step in enumerate(road.steps)
        for trade in step.trades
        if trade != CREW
    ]
    return tuple(sorted(found, key=lambda b: (b.book_by or date.max, b.wanted_on, b.trade)))


def _booking_day(site: Site, road: Road, number: int, trade: str, *, starts: Floats) -> date | None:
    """Start less the notice that the trade needs; none: the notice is missing."""
    notice = next((t.notice_days for t in site.trade if t.id == trade), None)
    if notice is None:
        return None
    return road.start_date(number, float(starts[number, 0]) - notice)


def _trade_lines(site: Site, road: Road, currency: str) -> Iterator[SpendingLine]:
    booked = bookings(site, road)
    for key in sorted({booking.trade for booking in booked}):
        trade = next((t for t in site.trade if t.id == key), Trade(id=key))
        numbers = [n for n, step in enumerate(road.steps) if key in step.trades]
        visits = _visits(road, key)
        days = sum(float(road.planned_days[n, 0]) for n in numbers)
        by = [booking.book_by for booking in booked if booking.trade == key]
        known = [day for day in by if day is not None]
        payee = _payee(site, trade.supplier)
        purchase = Purchase(
            id=key,
            what=f"{trade.name or key}: {visits} visit{'s' * (visits > 1)}, {days:.1f} days",
            cents=(cents := _trade_cents(trade, visits, days, currency)),
            order_by=min(known) if known else None,
            arrives=road.start_date(
                numbers[0], min(float(road.late.starts[n, 0]) for n in numbers)
            ),
            planned_order=road.start_date(
                numbers[0], min(float(road.planned.starts[n, 0]) for n in numbers)
            ),
            planned_arrival=max(road.planned_finish(road.steps[n].id) for n in numbers),
            payee=payee.name or payee.id,
            basis=_basis(cents, quoted=trade.quoted),
        )
        yield SpendingLine(purchase, tuple(_paid(purchase, payee)))


def _trade_cents(trade: Trade, visits: int, days: float, currency: str) -> int | None:
    if trade.per_visit is None and trade.per_day is None:
        return None
    cost = visits * (trade.per_visit or 0.0) + days * (trade.per_day or 0.0)
    return to_cents(cost, currency)


def _visits(road: Road, trade: str) -> int:
    """Visits of a trade: one a task, neighbouring moves sharing one."""
    moves = [trade in step.trades for step in road.steps if step.move]
    starts = sum(now and not before for before, now in zip([False, *moves], moves, strict=False))
    others = sum(trade in step.trades for step in road.steps if not step.move)
    return starts + others
