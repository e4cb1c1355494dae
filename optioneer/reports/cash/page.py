"""The page of the money: true costs side by side, what leaves when, what delays do."""

from collections.abc import Callable, Iterator, Mapping, Sequence

from optioneer.model.case import Case
from optioneer.model.tax_years import tax_years
from optioneer.money.ledger import Entry, LedgerSpan, period_name, totals
from optioneer.reports.cash.terms import dealer_table, disguise, uncovered_days
from optioneer.reports.page.cautions import cautions
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Heading, Page, Paragraph, Part, Table, bullets_of
from optioneer.study.advice.retrofits import ALL, Band
from optioneer.study.cash.answers import Flip, PlanCash
from optioneer.study.cash.cash import CashStudy, PlanLedger
from optioneer.study.cash.delays import DelayedPlan

NONE = "-"
TAX_CAUTION = (
    "Tax is planned, not advised: depreciation, first-year deductions and sales tax depend on the "
    "year and the place, and on income enough to deduct from. Ask your accountant before you rely "
    "on it."
)
FIRST_QUARTERS = 12
"""Most quarters of a plan that are shown when several plans are."""

LATE = (
    "A late machine pays later; the margin that is lost meanwhile is not counted here, nor are "
    "penalties that the contract may give you."
)
EXPECTED = (
    "Expected, not contracted: what the futures say of retrofits, downtime included, in money of "
    "the year. None of it is in the figures above."
)


def cash_page(
    case: Case,
    study: CashStudy,
    figures: Figures,
    *,
    delays: Sequence[DelayedPlan] = (),
    bands: Sequence[Band] = (),
    unpriced: Sequence[str] = (),
    periods: bool = True,
) -> Page:
    """What each way of paying costs, what leaves the account when, and what may come otherwise.

    Parameters
    ----------
    study
        Its money; of one plan every entry is shown, of several the quarters.
    unpriced
        Works on the site that have no price yet.
    periods
        Whether to show what comes, goes and is left by period.
    """
    contract = sum(line.cents for line in study.lines)
    one = len(study.ledgers) == 1
    parts: list[Part] = [
        Heading(f"{case.machine.name}: the money", f"contract {figures.cash(contract)}"),
        *(
            Paragraph(sentence, strong=k == 0)
            for k, sentence in enumerate(cheapest_and_safest(study, figures))
        ),
        *uncovered_days(study.answer.plans, figures),
        costs_table(study, figures),
        *disguise(study.answer.plans, figures),
        *flips_parts(study, figures),
        *dealer_table(case, contract, figures),
        contract_table(study, figures),
    ]
    parts += [_entries(ledger, figures) for ledger in study.ledgers if one]
    if periods:
        span: LedgerSpan = "month" if one else "quarter"
        most = None if one else FIRST_QUARTERS
        parts += [periods_table(ledger, figures, span, most=most) for ledger in study.ledgers]
    if delays:
        parts.append(delays_table(delays, figures))
    if bands:
        parts.append(expected_table(case, bands, figures))
    return (*parts, *closing_parts(case, study, unpriced))


def closing_parts(case: Case, study: CashStudy, unpriced: Sequence[str]) -> Iterator[Bullets]:
    """What is not counted, what should be known of the rates, and the cautions."""
    notes = [f"{ledger.answer.id}, {note}." for ledger in study.ledgers for note in ledger.notes]
    yield from bullets_of("Not reckoned: plans that do not fit", study.unfit)
    yield from bullets_of("Not counted: works on the site without a price", unpriced)
    yield from bullets_of("Rates", notes)
    yield Bullets("Before you sign", (*_tax_notes(case), *cautions(case)))


def cheapest_and_safest(study: CashStudy, figures: Figures) -> tuple[str, ...]:
    """Which way is the cheapest, which the safest, and what lies between them."""
    cheapest, safest, gap = study.answer.cheapest, study.answer.safest, study.gap
    if gap is None:
        return (f"'{cheapest}' is the cheapest way of paying and the one that keeps most in hand.",)
    return (
        f"'{cheapest}' is the cheapest way of paying; '{safest}' keeps the account safest.",
        (
            f"'{cheapest}' costs {figures.amount(gap.dearer)} less at today's value, '{safest}' "
            f"leaves {figures.cash(gap.spare_cents)} more in the account on its lowest day."
        ),
    )


def _rate(figures: Figures, rate: float | None) -> str:
    return NONE if rate is None else figures.fine_share(rate)


_COSTS: Mapping[str, Callable[[Figures, PlanCash], str]] = {
    "Kind": lambda _, plan: plan.kind,
    "Total paid": lambda figures, plan: figures.cash(plan.true_cost.total_paid_cents),
    "Interest": lambda figures, plan: figures.cash(plan.true_cost.interest_cents),
    "APR (actuarial, nominal)": lambda figures, plan: _rate(figures, plan.true_cost.apr),
    "Effective rate (European)": lambda figures, plan: _rate(
        figures, plan.true_cost.effective_rate
    ),
    "XIRR (days as paid)": lambda figures, plan: _rate(figures, plan.true_cost.xirr),
    "Present cost": lambda figures, plan: figures.amount(plan.true_cost.present_cost),
    "Present cost after tax": lambda figures, plan: (
        NONE
        if plan.true_cost.present_cost_after_tax is None
        else figures.amount(plan.true_cost.present_cost_after_tax)
    ),
    "Lowest balance": lambda figures, plan: figures.cash(plan.lowest.cents),
    "  on": lambda _, plan: plan.lowest.date.isoformat(),
    "Days below what to keep": lambda figures, plan: figures.number(plan.days_below),
    "Opening that would do": lambda figures, plan: figures.cash(plan.opening_needed_cents),
}


def costs_table(study: CashStudy, figures: Figures) -> Table:
    """What each way of paying costs, side by side."""
    plans = study.answer.plans
    rows = tuple((name, *(said(figures, plan) for plan in plans)) for name, said in _COSTS.items())
    return Table("What each way costs", ("", *(plan.id for plan in plans)), rows)


def flips_parts(study: CashStudy, figures: Figures) -> Iterator[Bullets]:
    """At which rate of borrowing each other way shown would be as cheap as the cheapest."""
    answer = study.answer
    ids = {plan.id for plan in answer.plans}
    flips = [flip for flip in answer.flips if {flip.first, flip.second} <= ids]
    if flips and answer.borrows_at is not None:
        rate = figures.fine_share(answer.borrows_at)
        title = f"Where the order flips; all are compared at {rate}, what the shop borrows at"
        yield Bullets(title, tuple(_flip(flip, figures) for flip in flips))


def _flip(flip: Flip, figures: Figures) -> str:
    if flip.at is None:
        return f"'{flip.first}' is cheaper than '{flip.second}' at every rate."
    rate = figures.fine_share(flip.at)
    return f"At {rate} '{flip.first}' and '{flip.second}' cost the same."


def contract_table(study: CashStudy, figures: Figures) -> Table:
    """What the price is made of."""
    rows = [(line.what, figures.cash(line.cents)) for line in study.lines]
    rows.append(("Contract", figures.cash(sum(line.cents for line in study.lines))))
    return Table("The contract", ("", figures.currency), tuple(rows))


def _entries(ledger: PlanLedger, figures: Figures) -> Table:
    rows = tuple(
        (
            entry.date.isoformat(),
            figures.cash(entry.cents),
            figures.cash(entry.balance_cents),
            f"{entry.what} ({entry.payee})" if entry.payee != entry.what else entry.what,
        )
        for entry in ledger.answer.entries
    )
    heads = ("day", "amount", "balance", "what")
    return Table(f"Plan '{ledger.answer.id}', day by day", heads, rows, text_last=True)


def periods_table(
    ledger: PlanLedger, figures: Figures, span: LedgerSpan, *, most: int | None = None
) -> Table:
    """Money in, out and left by period, at most so many; what is left is after its last entry."""
    closing = {
        period_name(entry.date, span): entry.balance_cents for entry in ledger.answer.entries
    }
    by_period = _in_and_out(ledger.entries, span)
    sums = totals(ledger.entries, span)
    shown = list(sums)[:most]
    rows = tuple(
        (
            name,
            figures.cash(by_period[name][0]),
            figures.cash(by_period[name][1]),
            figures.cash(closing[name]),
            ", ".join(sorted(sums[name])),
        )
        for name in shown
    )
    rest = len(sums) - len(shown)
    note = f"{rest} more quarters: --plan {ledger.answer.id} or --csv." if rest else ""
    heads = (span, "in", "out", "left", "kinds")
    title = f"Plan '{ledger.answer.id}' by {span}"
    return Table(title, heads, rows, text_last=True, note=note)


def _in_and_out(entries: Sequence[Entry], span: LedgerSpan) -> dict[str, tuple[int, int]]:
    found: dict[str, tuple[int, int]] = {}
    for entry in entries:
        name = period_name(entry.date, span)
        came, went = found.get(name, (0, 0))
        found[name] = (came + max(entry.cents, 0), went + min(entry.cents, 0))
    return found


def delays_table(delays: Sequence[DelayedPlan], figures: Figures) -> Table:
    """What becomes of each plan under each delay."""
    rows = tuple(
        (f"{one.plan}: {one.delay}", *_delay_cells(one, figures), one.fault) for one in delays
    )
    heads = ("", "lowest balance", "days below", "present cost", "")
    return Table("If it comes otherwise", heads, rows, text_last=True, note=LATE)


def _delay_cells(one: DelayedPlan, figures: Figures) -> tuple[str, str, str]:
    if one.delayed is None:
        return (NONE, NONE, NONE)
    more = one.delayed.true_cost.present_cost - one.planned.true_cost.present_cost
    change = figures.amount(abs(more))
    return (
        figures.cash(one.delayed.lowest.cents),
        figures.number(one.delayed.days_below),
        f"{'+' if more >= 0 else '-'} {change}",
    )


def expected_table(case: Case, bands: Sequence[Band], figures: Figures) -> Table:
    """What retrofits may cost, year by year."""
    rows = tuple(
        (
            f"{band.start.isoformat()} to {band.end.isoformat()}",
            figures.share(band.chance),
            figures.amount(band.p10),
            figures.amount(band.p50),
            figures.amount(band.p90),
            "all" if band.option == ALL else case.catalogue.by_id[band.option].name,
        )
        for band in bands
        if band.option == ALL
    )
    heads = ("year after first chips", "chance", "P10", "P50", "P90", "retrofits")
    return Table("Retrofits that may come", heads, rows, text_last=True, note=EXPECTED)


def _tax_notes(case: Case) -> tuple[str, ...]:
    tax = case.paying.income_tax if case.paying else None
    if tax is None:
        return ()
    if not isinstance(tax.first_year_share, str):
        return (TAX_CAUTION,)
    sources = "; ".join(f"{year}: {one.source}" for year, one in tax_years().items())
    return (TAX_CAUTION, f"First-year figures are from the table of tax years ({sources}).")
