"""Sales tax and income tax that a way of paying brings. Planning figures: ask the accountant."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache

from optioneer.dates import DAYS_PER_YEAR, MONTHS_PER_YEAR, plus_months
from optioneer.errors import CaseError
from optioneer.model.checks.payments import year_faults
from optioneer.model.machine import Dates
from optioneer.model.paying import IncomeTax, Paying, SalesTax
from optioneer.model.tax_years import TaxYear, tax_years
from optioneer.money.cents import rounded, share_in_cents, split
from optioneer.money.discount import discount_factor
from optioneer.money.ledger import Entry
from optioneer.money.tax import (
    Shares,
    declining_balance,
    depreciation,
    expensing_limit,
    macrs,
    mid_quarter_applies,
    straight_line,
)
from optioneer.study.cash.dates import Course, course_of
from optioneer.study.cash.payables import DEPOSIT, PACKAGE, Deal

OFFICE = "tax office"


def sales_tax_entries(tax: SalesTax, deal: Deal, clock: Course) -> tuple[Entry, ...]:
    """Sales tax on what the dealer or the lessor is paid, and its return.

    Notes
    -----
    A lease bears it on the deposit, each rent and the buyout, whatever `due` says: the lessor
    buys the machine.
    """
    return tuple(
        entry
        for taxed in _taxable_entries(tax, deal, clock)
        for entry in _there_and_back(tax, taxed, clock)
    )


def _taxable_entries(tax: SalesTax, deal: Deal, clock: Course) -> list[Entry]:
    """What tax is charged on: entries on the days of the tax, with the tax as their cents."""
    if not deal.owned:
        return [_tax_on(entry, -share_in_cents(-entry.cents, tax.rate)) for entry in _let(deal)]
    total = -share_in_cents(deal.price, tax.rate)
    if tax.due != "each payment":
        day = clock.paid(clock.nominal(tax.due))
        return [Entry(day, total, "sales-tax", "sales tax on the price", OFFICE, PACKAGE)]
    paid = [entry for entry in deal.entries if entry.kind == "contract"]
    parts = split(total, [-entry.cents / deal.price for entry in paid])
    return [_tax_on(entry, cents) for entry, cents in zip(paid, parts, strict=True)]


def _let(deal: Deal) -> list[Entry]:
    """What a lease charges: all but the price that the lessor pays for the shop."""
    deposits = [e for e in deal.entries if e.kind == "contract" and e.what == DEPOSIT]
    return [*deposits, *(e for e in deal.entries if e.kind in {"rent", "buyout"})]


def _tax_on(entry: Entry, cents: int) -> Entry:
    return replace(entry, cents=cents, kind="sales-tax", what=f"sales tax on {entry.what}")


def _there_and_back(tax: SalesTax, charged: Entry, clock: Course) -> Iterator[Entry]:
    if not charged.cents:
        return
    yield charged
    if tax.reclaimed_after_days is not None:
        day = clock.paid(charged.date + timedelta(days=tax.reclaimed_after_days))
        back = f"{charged.what}, reclaimed"
        yield replace(charged, date=day, cents=-charged.cents, what=back, payee=OFFICE)


@dataclass(frozen=True)
class Deduction:
    """An amount that lowers the income of a tax year.

    Parameters
    ----------
    day
        From when it is known.
    """

    day: date
    cents: int


def income_tax_entries(
    tax: IncomeTax, deductions: Iterable[Deduction], clock: Course
) -> tuple[Entry, ...]:
    """Tax saved, on the days on which the tax of each year is paid.

    Notes
    -----
    A year's saving is spread evenly over its pay days that do not come before its first
    deduction; when none is left, it comes with the first pay day of the next year. It takes for
    granted that there is income enough to deduct from.
    """
    years: dict[int, list[Deduction]] = defaultdict(list)
    for deduction in deductions:
        years[tax.year_of(deduction.day)].append(deduction)
    return tuple(
        entry for year in sorted(years) for entry in _year_entries(tax, year, years[year], clock)
    )


def _year_entries(
    tax: IncomeTax, year: int, deductions: list[Deduction], clock: Course
) -> Iterator[Entry]:
    saved = share_in_cents(sum(deduction.cents for deduction in deductions), tax.rate)
    days = tax_days(tax, year, min(deduction.day for deduction in deductions))
    parts = split(saved, [1 / len(days)] * len(days))
    for day, cents in zip(days, parts, strict=True):
        if cents:
            what = f"tax saved on the deductions of {year}"
            yield Entry(clock.paid(day), cents, "income-tax", what, OFFICE, PACKAGE)


def tax_days(tax: IncomeTax, year: int, known: date) -> list[date]:
    """The days on which the tax of a year is paid that do not come before `known`.

    When none is left, the first one of the next year.
    """
    days = [day for day in _pay_days(tax, year) if day >= known]
    return days or [day for day in _pay_days(tax, year + 1) if day >= known][:1]


def under_known_law(tax: IncomeTax, day: date) -> date:
    """A day, or the same one in the last tax year whose shares are known."""
    if isinstance(tax.first_year_share, float):
        return day
    beyond = tax.year_of(day) - max(tax_years())
    return plus_months(day, -MONTHS_PER_YEAR * beyond) if beyond > 0 else day


def _start(tax: IncomeTax, year: int) -> date:
    return date(year, tax.year_starts_month, 1)


def _pay_days(tax: IncomeTax, year: int) -> list[date]:
    """The days on which a tax year's tax is paid."""
    return sorted(_in_tax_year(tax, day, year) for day in tax.pays)


def _in_tax_year(tax: IncomeTax, text: str, year: int) -> date:
    month_day, _, later = text.partition(" ")
    day = date.fromisoformat(f"{year + bool(later)}-{month_day}")
    if day < _start(tax, year + bool(later)):
        day = date.fromisoformat(f"{day.year + 1}-{month_day}")
    return day


def deductions_of(
    tax: IncomeTax, deal: Deal, clock: Course, *, unreclaimed: int, years: Mapping[int, TaxYear]
) -> tuple[Deduction, ...]:
    """Everything that a way of paying lets the shop deduct.

    Parameters
    ----------
    unreclaimed
        Sales tax that never comes back [cents]; part of what is written off, or of the rents.
    years
        Figures by tax year, for `bonus` and `section-179`.

    Notes
    -----
    Interest and fees are deducted as paid. A machine that is owned is written off from the day it
    is in service; a leased one is not: its deposit, rents and unreclaimed sales tax are deducted
    as paid, and the buyout is written off from its day. A lease that is a purchase in disguise is
    written off like a machine that is owned, and only the interest in its rents is deducted.

    Raises
    ------
    CaseError
        The first-year share is that of the law, for a tax year whose law is not in the table.
    """
    kinds = {"interest", "fee"} if deal.written_off else {"interest", "fee", "rent"}
    paid = [Deduction(e.date, -e.cents) for e in deal.entries if e.kind in kinds]
    if deal.written_off:
        if not deal.owned:
            paid += [Deduction(clock.paid(day), int(cents)) for day, cents in deal.deductible]
        basis, day = deal.price + unreclaimed, clock.nominal(tax.in_service)
        bound = tax.acquired or clock.days["order"]
        return (*paid, *written_off(tax, basis, day, clock, years=years, bound=bound))
    rented = [entry for entry in deal.entries if entry.kind == "rent"]
    extra = [Deduction(rented[0].date, unreclaimed)] if unreclaimed else []
    deposits = [Deduction(e.date, -e.cents) for e in _let(deal) if e.kind == "contract"]
    bought = [
        deduction
        for entry in deal.entries
        if entry.kind == "buyout"
        for deduction in written_off(
            tax, -entry.cents, entry.date, clock, years=years, bound=entry.date
        )
    ]
    return (*paid, *deposits, *extra, *bought)


def written_off(
    tax: IncomeTax,
    basis: int,
    day: date,
    clock: Course,
    *,
    years: Mapping[int, TaxYear],
    bound: date,
) -> Iterator[Deduction]:
    """What property placed in service on a day lets the shop deduct, year by year.

    Parameters
    ----------
    tax, clock, years
        The rules, when things happen, and figures by tax year.
    basis
        What is written off [cents].
    day
        When it is placed in service.
    bound
        Day of the binding order, which picks the bonus rate.

    Raises
    ------
    CaseError
        The law of that year is not in the table.
    """
    first_year = tax.year_of(day)
    at_once = _at_once(tax, basis, (day, bound), clock, years=years)
    shares = _shares(tax, basis, day, at_once, clock=clock)
    amounts = depreciation(basis, shares, at_once)
    for k, cents in enumerate(amounts):
        yield Deduction(day if k == 0 else _start(tax, first_year + k), cents)


def _at_once(
    tax: IncomeTax,
    basis: int,
    days: tuple[date, date],
    clock: Course,
    *,
    years: Mapping[int, TaxYear],
) -> int:
    """Deducted at once in the first year [cents]; `days` of service and of the binding order.

    Raises
    ------
    CaseError
        The law of that year is not in the table.
    """
    if isinstance(tax.first_year_share, float):
        return share_in_cents(basis, tax.first_year_share)
    day, bound = days
    if faults := list(year_faults(tax, day)):
        raise CaseError(faults)
    figures = years[tax.year_of(day)]
    if tax.first_year_share == "bonus":
        return share_in_cents(basis, figures.bonus_rate(bound))
    limit, threshold, other = map(
        clock.cents, (figures.limit, figures.threshold, sum(tax.placed_by_quarter))
    )
    return min(basis, rounded(expensing_limit(limit, threshold, basis + other)))


def _shares(tax: IncomeTax, basis: int, day: date, at_once: int, *, clock: Course) -> Shares:
    """Shares by tax year of what is written off by the method."""
    method, _, count = tax.depreciation.rpartition("-")
    months_gone = (day.month - tax.year_starts_month) % 12
    if method == "straight-line":
        return straight_line(int(count), 1 - months_gone / 12)
    if method == "declining":
        return declining_balance(int(count), tax.declining_factor, 1 - months_gone / 12)
    placed, quarter = [clock.cents(one) for one in tax.placed_by_quarter], months_gone // 3
    placed[quarter] += basis - (at_once if tax.first_year_share == "section-179" else 0)
    return macrs(int(count), quarter + 1 if mid_quarter_applies(placed[-1], sum(placed)) else None)


MOST_KEPT = 16
"""Ways of writing retrofits off that are known as worked out."""


def depreciation_saves(
    tax: IncomeTax, clock: Course, days: tuple[date, date | None], *, basis: int, rate: float
) -> float:
    """Present value of the income tax that depreciation saves, as `basis` [cents].

    Parameters
    ----------
    days
        The day that it is valued at, and the one from which the property is in service; none: as
        the tax rules say.
    basis
        What is written off [cents].
    rate
        What money earns in the shop after tax [1/year].

    Notes
    -----
    On the days on which tax is paid; schedules run on after a sale. Where the law names shares,
    that of the last year in the table of tax years holds on.
    """
    at, service = days
    if service is None:
        start = clock.nominal(tax.in_service)
    else:
        at, start = under_known_law(tax, at), under_known_law(tax, service)
    bound = (tax.acquired or clock.days["order"]) if service is None else start
    deducted = written_off(tax, basis, start, clock, years=tax_years(), bound=bound)
    entries = income_tax_entries(tax, deducted, clock)
    return sum(
        entry.cents * discount_factor(rate, (entry.date - at).days / DAYS_PER_YEAR)
        for entry in entries
    )


@lru_cache(MOST_KEPT)
def shares_saved(
    paying: Paying,
    dates: Dates,
    currency: str,
    *,
    basis: int,
    rate: float,
    periods: int,
    periods_per_year: int,
) -> tuple[float, ...]:
    """Share of a retrofit's charge that its depreciation saves, by period of its fitting.

    A case is valued again and again with other figures while these stay. `basis` and `rate` are as
    for `depreciation_saves`; 0 throughout without income tax.
    """
    tax, clock = paying.income_tax, course_of(dates, paying, currency)
    if tax is None or tax.rate == 0.0:
        return (0.0,) * (periods + 1)
    years = (dates.lead_years + period / periods_per_year for period in range(periods + 1))
    days = [dates.order + timedelta(days=round(DAYS_PER_YEAR * one)) for one in years]
    return tuple(
        depreciation_saves(tax, clock, (day, day), basis=basis, rate=rate) / basis for day in days
    )
