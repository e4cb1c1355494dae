"""What is possible in a case but unlikely to be meant: asked about, never in the way."""

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from itertools import islice

from babel.core import get_global

from optioneer.errors import Question
from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.checks.menu import place
from optioneer.model.checks.usual import USUAL, Usual
from optioneer.model.fact import Fact, Triangular
from optioneer.model.growth import Stream
from optioneer.model.paying import LeasePlan, LoanPlan, StagedPlan
from optioneer.model.terms import Dealer
from optioneer.model.when import milestones

MACHINE, GROWTH, PAYING, SITE = "machine.toml", "growth.toml", "paying.toml", "site.toml"

MOST_OF_A_KIND = 20
"""More questions of one kind are not asked."""

LONG_AGO, FAR_OFF = date(2015, 1, 1), date(2045, 1, 1)
"""Orders outside are hardly meant: what they are weighed with is today's money."""

FIRST_CALENDAR_YEAR = 1900
"""A figure from here on, where years are counted, is a calendar year."""

YEARS_TO_CHIPS = 4
"""The largest machines are built and set up in less."""

MACHINES_A_YEAR = 10
"""Work that earns more machines a year than these is told in another unit."""

DAYS_OF_A_MACHINE = 20
"""Nothing earns its own price within so many days."""


def doubts(case: Case) -> tuple[Question, ...]:
    """What should be asked about a case without faults, in the words of its files."""
    return tuple(one for kind in KINDS for one in islice(kind(case), MOST_OF_A_KIND))


def _unusual_figures(case: Case) -> Iterator[Question]:
    """Figures outside of what they usually are."""
    for where, fact in _facts(case):
        for usual in USUAL[type(fact)]:
            value = getattr(fact, usual.key)
            points = [one for one in _points(value) if not usual.low <= one <= usual.high]
            if points:
                found = f"{points[-1]:,.12g}{_of_what(fact, usual)}"
                yield Question(f"{where}, {usual.key}", found, usual.asks)


def _of_what(fact: Fact, usual: Usual) -> str:
    if isinstance(fact, Option) and usual.key in {"multiplier", "eased"}:
        return f" times its price of {fact.price:,.12g}"
    return ""


def _points(value: object) -> Sequence[float]:
    if isinstance(value, Triangular):
        return (value.low, value.likely, value.high)
    if isinstance(value, tuple):
        return value
    return (value,) if isinstance(value, int | float) else ()


def _facts(case: Case) -> Iterator[tuple[str, Fact]]:
    """Every fact of which something is usual, with where it stands."""
    growth, paying, site = case.growth, case.paying, case.site
    yield GROWTH, growth
    yield from ((f"{GROWTH}, stream '{one.id}'", one) for one in growth.stream)
    yield from ((f"{GROWTH}, driver '{one.id}'", one) for one in growth.driver)
    yield f"{MACHINE}, machine", case.machine
    yield f"{MACHINE}, dates", case.dates
    yield from ((f"options.csv, option '{one.option}'", one) for one in case.catalogue.options)
    if paying is not None:
        for plan in paying.plan:
            if isinstance(plan, LoanPlan | LeasePlan):
                yield f"{PAYING}, plan '{plan.id}'", plan
            if isinstance(plan, LoanPlan) and plan.early_payoff is not None:
                yield f"{PAYING}, plan '{plan.id}', early_payoff", plan.early_payoff
        if paying.sales_tax is not None:
            yield f"{PAYING}, sales_tax", paying.sales_tax
        if paying.income_tax is not None:
            yield f"{PAYING}, income_tax", paying.income_tax
    if site is not None:
        yield f"{SITE}, needs", site.needs
        yield f"{SITE}, crew", site.crew
        yield from ((f"{SITE}, trade '{one.id}'", one) for one in site.trade)
        yield from ((f"{SITE}, supply '{one.id}'", one) for one in site.supply)
        yield from ((f"{SITE}, task '{one.id}'", one) for one in site.task)


def _dates(case: Case) -> Iterator[Question]:
    """Orders long ago or far off, machines that take years to come."""
    dates, where = case.dates, f"{MACHINE}, dates"
    if not LONG_AGO <= dates.order <= FAR_OFF:
        asks = "is the order placed then; all money is counted from that day"
        yield Question(f"{where}, order", dates.order.isoformat(), asks)
    if dates.lead is None and dates.lead_years > YEARS_TO_CHIPS:
        found = f"{dates.first_chips_date}, {dates.lead_years:.0f} years after the order"
        yield Question(f"{where}, first_chips", found, "does the machine take so long")


def _currency(case: Case) -> Iterator[Question]:
    """Money that nobody can pay with any more."""
    code = case.machine.currency
    tender = {
        code
        for rows in get_global("territory_currencies").values()
        for code, _, end, legal in rows
        if end is None and legal
    }
    if code not in tender:
        yield Question(f"{MACHINE}, machine, currency", code, "is it still money anywhere")


def _money_of_the_machine(case: Case) -> Iterator[Question]:
    """What is out of proportion to the price of the machine."""
    base = case.machine.base_price
    day = case.machine.margin_per_day
    if day > base / DAYS_OF_A_MACHINE:
        asks = "does it earn its own price in a month; a day, not a year"
        yield Question(f"{MACHINE}, machine, margin_per_day", f"{day:,.2f}", asks)
    for name, charge in case.call_outs.items():
        if charge > base / 2:
            asks = f"does one visit cost so much beside a machine of {base:,.2f}"
            yield Question(f"{MACHINE}, call_out, {name}", f"{charge:,.2f}", asks)
    for stream in case.growth.stream:
        if stream.margin.high > MACHINES_A_YEAR * base:
            where = f"{GROWTH}, stream '{stream.id}', margin"
            yield Question(where, f"{stream.margin.high:,.2f}", "a year, in whole money")
        if stream.margin.high == 0:
            where = f"{GROWTH}, stream '{stream.id}', margin"
            yield Question(where, "0", "does this work earn nothing")


def _arrivals(case: Case) -> Iterator[Question]:
    """Work told in calendar years, or that comes when the horizon is over."""
    horizon = case.growth.horizon_years
    for stream in case.growth.stream:
        where = f"{GROWTH}, stream '{stream.id}', years"
        years = stream.years
        if years.high < FIRST_CALENDAR_YEAR and years.likely >= horizon > 0:
            found = f"{years.low:g}, {years.likely:g}, {years.high:g}"
            asks = f"does it hardly come before the horizon of {horizon:g} years is over"
            yield Question(where, found, asks)


def _fallbacks(case: Case) -> Iterator[Question]:
    """Work whose ways change nothing."""
    for stream in case.growth.stream:
        if stream.fallback == 1 and stream.way:
            where = f"{GROWTH}, stream '{stream.id}', fallback"
            yield Question(where, "1", "is all of it kept without any option")
        if _wide(stream):
            where = f"{GROWTH}, stream '{stream.id}', margin"
            found = f"{stream.margin.low:,.12g} to {stream.margin.high:,.12g}"
            yield Question(where, found, "is one of them in another unit")


def _wide(stream: Stream) -> bool:
    return 0 < 100 * stream.margin.low < stream.margin.high


def _prices(case: Case) -> Iterator[Question]:
    """Prices and credits that do not fit what they are for."""
    base = case.machine.base_price
    for option in case.catalogue.options:
        name, price, credit = option.option, option.price, option.delete_credit
        if price > base:
            asks = f"does it cost more than the machine at {base:,.2f}"
            yield Question(place(name, "price"), f"{price:,.2f}", asks)
        if price == 0 and not option.standard:
            yield Question(place(name, "price"), "0", "does the dealer give it away")
        if credit is not None and credit > max(price, 0.01 * base):
            asks = f"is more given back than its list price of {price:,.2f}"
            yield Question(place(name, "delete_credit"), f"{credit:,.2f}", asks)
        if option.upkeep_per_year > max(price, 0.01 * base):
            asks = f"does a year of it cost more than the option at {price:,.2f}"
            yield Question(place(name, "upkeep_per_year"), f"{option.upkeep_per_year:,.2f}", asks)
        if _dearer_when_eased(option):
            yield Question(place(name, "eased"), _three(option.eased), "is it dearer when eased")


def _pay_for_themselves(case: Case) -> Iterator[Question]:
    """Options that sell for more than it costs to fit them later, whatever work comes."""
    for option in case.catalogue.options:
        if option.fitting != "retrofittable":
            continue
        least = min(m.low for m in (option.multiplier, option.eased) if m is not None)
        charge, resale = option.listed_later * least, option.price * option.resale_share
        if charge < resale:
            asks = (
                f"does it cost as little as {charge:,.2f} to fit later what sells for "
                f"{resale:,.2f} at the horizon; it would pay without any work"
            )
            key = "multiplier" if option.later_price is None else "later_price"
            yield Question(place(option.option, key), f"{option.listed_later:,.2f}", asks)


def _dearer_when_eased(option: Option) -> bool:
    eased, plain = option.eased, option.multiplier
    return eased is not None and plain is not None and eased.mean > plain.mean


def _three(points: Triangular | None) -> str:
    return "" if points is None else f"{points.low:g}, {points.likely:g}, {points.high:g}"


FEW = 4
"""Of fewer options one may well exclude all others."""


def _exclusions(case: Case) -> Iterator[Question]:
    """Options that leave room for hardly any other, and options under one name."""
    others = len(case.catalogue.options) - 1
    names: dict[str, str] = {}
    for option in case.catalogue.options:
        if others >= FEW and len(option.excludes) > others / 2:
            found = f"{len(option.excludes)} of the {others} others"
            asks = "does it go with hardly any; requires and excludes are two columns"
            yield Question(place(option.option, "excludes"), found, asks)
        if option.name in names:
            asks = f"is it another option than '{names[option.name]}', of the same name"
            yield Question(place(option.option, "name"), f"'{option.name}'", asks)
        names.setdefault(option.name, option.option)


def _packages(case: Case) -> Iterator[Question]:
    """Candidates that are the same machine, and discounts that take most of a price away."""
    seen: dict[tuple[frozenset[str], frozenset[str]], str] = {}
    for package in case.packages:
        same = (frozenset(package.options), frozenset(package.without))
        if same in seen:
            where = f"{MACHINE}, package '{package.id}', options"
            yield Question(where, f"the same as of '{seen[same]}'", "is one of them another")
        seen.setdefault(same, package.id)
    for bundle in case.bundles:
        price = sum(case.catalogue.by_id[name].price for name in bundle.options)
        if price / 2 < bundle.discount <= price:
            where = f"{MACHINE}, bundle '{bundle.id}', discount"
            asks = f"is it what is saved, not what is paid, of {price:,.2f}"
            yield Question(where, f"{bundle.discount:,.2f}", asks)


EARLY_DAYS, LATE_DAYS = 200, 1500
"""Dealers are not paid earlier before the order, or later after first chips, than this [days]."""


def _payments(case: Case) -> Iterator[Question]:
    """Payments long before or after the purchase, charges that eat it up, an overdrawn start."""
    paying, base = case.paying, case.machine.base_price
    if paying is None:
        return
    days = milestones(case.dates)
    for plan in paying.plan:
        stages = plan.stages if isinstance(plan, StagedPlan | LoanPlan) else ()
        for number, stage in enumerate(stages, start=1):
            day = stage.when.on(days)
            early, late = (days["order"] - day).days, (day - days["first_chips"]).days
            if early > EARLY_DAYS or late > LATE_DAYS:
                where = f"{PAYING}, plan '{plan.id}', stage {number}, when"
                yield Question(where, day.isoformat(), "is the dealer paid on that day")
        fee = plan.fee if isinstance(plan, LoanPlan | LeasePlan) else 0.0
        if fee > base / 10:
            where = f"{PAYING}, plan '{plan.id}', fee"
            yield Question(where, f"{fee:,.2f}", f"in money, of a machine of {base:,.2f}")
        yield from _rents(plan, base) if isinstance(plan, LeasePlan) else ()
    yield from _quote(case, paying.dealer)
    for plan in paying.plan if paying.income_tax else ():
        yield from _leases_without_tax(plan) if isinstance(plan, LeasePlan) else ()
    account = paying.account
    if account.keep_above > max(account.opening, 0.0) and account.opening:
        asks = f"does the account begin with less, {account.opening:,.2f}"
        yield Question(f"{PAYING}, account, keep_above", f"{account.keep_above:,.2f}", asks)
    for regular in account.regular:
        if abs(regular.monthly) > base:
            where = f"{PAYING}, account, regular '{regular.name}', monthly"
            yield Question(where, f"{regular.monthly:,.2f}", "a month, not a year")


def _leases_without_tax(plan: LeasePlan) -> Iterator[Question]:
    """A lease of which nobody has said what it is for income tax."""
    if plan.treated_as is None:
        where = f"{PAYING}, plan '{plan.id}', treated_as"
        asks = "is it a true lease or a purchase in disguise: ask your accountant; both are told"
        yield Question(where, "not told", asks)


def _quote(case: Case, dealer: Dealer) -> Iterator[Question]:
    """An order after the quote has ended, and one that could never be changed."""
    order, until = case.dates.order, dealer.valid_until
    if until is not None and order > until:
        asks = f"the order of {order} comes later: does the quote hold until then"
        yield Question(f"{PAYING}, dealer, valid_until", until.isoformat(), asks)
    frozen = dealer.freeze.on(milestones(case.dates)) if dealer.freeze else None
    if frozen is not None and frozen < order:
        asks = f"can nothing be changed any more on the day of the order, {order}"
        yield Question(f"{PAYING}, dealer, freeze", frozen.isoformat(), asks)


def _rents(plan: LeasePlan, base: float) -> Iterator[Question]:
    total = plan.monthly * (plan.months // plan.every_months) + plan.buyout
    if not base / 3 < total + plan.deposit * base < 3 * base:
        where = f"{PAYING}, plan '{plan.id}', monthly"
        asks = f"is all that is paid {total:,.2f} for a machine of {base:,.2f}"
        yield Question(where, f"{plan.monthly:,.2f}", asks)


def _works(case: Case) -> Iterator[Question]:
    """Supplies dearer than the machine, hours dearer than a lawyer's, shops shut for a season."""
    site, base = case.site, case.machine.base_price
    if site is None:
        return
    for supply in site.supply:
        if (supply.price or 0.0) > base:
            where = f"{SITE}, supply '{supply.id}', price"
            asks = f"does it cost more than the machine at {base:,.2f}"
            yield Question(where, f"{supply.price:,.2f}", asks)
    cost = site.crew.cost_per_hour
    if cost is not None and cost > base / 100:
        yield Question(f"{SITE}, crew, cost_per_hour", f"{cost:,.2f}", "an hour, not a day")
    for shutdown in site.calendar.shutdown:
        days = (shutdown.last - shutdown.first).days + 1
        if days > 60:  # noqa: PLR2004 - two months; a shop that rests longer has given up
            asks = "does nobody work for so long"
            yield Question(f"{SITE}, calendar, shutdown {shutdown.first}", f"{days} days", asks)


KINDS: tuple[Callable[[Case], Iterator[Question]], ...] = (
    _unusual_figures,
    _dates,
    _currency,
    _money_of_the_machine,
    _arrivals,
    _fallbacks,
    _prices,
    _pay_for_themselves,
    _exclusions,
    _packages,
    _payments,
    _works,
)
"""What is looked for."""
