"""Checks on ways of paying: stages, dates that come before others, plans that never end."""

import math
from collections.abc import Iterator
from datetime import date

from optioneer.dates import plus_months
from optioneer.errors import Fault, did_you_mean
from optioneer.model.case import Case
from optioneer.model.checks.candidates import duplicates
from optioneer.model.checks.money import least_price
from optioneer.model.paying import IncomeTax, LeasePlan, LoanPlan, PayDays, Plan, Stage, StagedPlan
from optioneer.model.tax_years import tax_years
from optioneer.model.when import Days, milestones

FILE = "paying.toml"
_WHOLE = 1e-6
"""Stages whose shares miss 1 by less than this were meant to add up: three times 0.333333."""


def paying_faults(case: Case) -> Iterator[Fault]:
    """Everything in the ways of paying that does not fit together."""
    paying = case.paying
    if paying is None:
        return
    yield from duplicates(FILE, "plan", [plan.id for plan in paying.plan])
    yield from _place_faults(paying.calendar)
    days = milestones(case.dates)
    if days["first_chips"] < days["order"]:
        return  # a fault of its own
    for plan in paying.plan:
        yield from plan_faults(plan, days)
    tax = paying.income_tax
    if tax is not None:
        yield from year_faults(tax, tax.in_service.on(days))
        for plan in paying.plan:
            yield from _buyout_faults(tax, plan, days)


def lent_faults(case: Case) -> Iterator[Fault]:
    """Loans that cost as much when they are drawn as they bring."""
    least = least_price(case)
    for plan in case.paying.plan if case.paying else ():
        if isinstance(plan, LoanPlan) and plan.fee:
            lent = (1 - plan.deposit) * least
            if plan.fee >= lent > 0:
                what = f"{plan.fee:,.2f} is not below the {lent:,.2f} that are lent at least"
                yield Fault(_place(plan, "fee"), what, "Write the fee in money, not as a rate.")


def _place_faults(calendar: PayDays) -> Iterator[Fault]:
    """Countries and states whose holidays are not known."""
    if calendar.country is None:
        if calendar.subdivision is not None:
            where = f"{FILE}, calendar, subdivision"
            yield Fault(where, f"'{calendar.subdivision}' has no country", "Name the country too.")
        return
    from holidays import list_supported_countries  # noqa: PLC0415 - slow, and rarely asked for

    known = list_supported_countries()
    if calendar.country not in known:
        allowed = "Write an ISO 3166 code in capitals, such as US or DE."
        what = f"no holidays are known of '{calendar.country}'"
        yield Fault(f"{FILE}, calendar, country", what, allowed)
    elif calendar.subdivision and calendar.subdivision not in known[calendar.country]:
        what = f"no holidays are known of '{calendar.subdivision}' in {calendar.country}"
        allowed = did_you_mean(calendar.subdivision, known[calendar.country])
        yield Fault(f"{FILE}, calendar, subdivision", what, allowed)


def year_faults(tax: IncomeTax, day: date) -> Iterator[Fault]:
    """A first-year share of the law, for property of a tax year whose law is not in the table."""
    known, year = tax_years(), tax.year_of(day)
    if isinstance(tax.first_year_share, str) and year not in known:
        what = f"'{tax.first_year_share}' is not known for the tax year {year}"
        years = ", ".join(str(one) for one in known)
        allowed = f"The table of tax years holds {years}; write the share itself: 0.4 for 40 %."
        yield Fault(f"{FILE}, income_tax, first_year_share", what, allowed)


def plan_faults(plan: Plan, days: Days) -> Iterator[Fault]:
    """What is wrong with one plan when the milestones fall on `days`."""
    match plan:
        case StagedPlan():
            yield from _stage_faults(plan.id, plan.stages)
        case LoanPlan():
            yield from _loan_faults(plan, days)
        case LeasePlan():
            yield from _interval_faults(plan)
            if plan.in_advance > plan.months // plan.every_months:
                what = f"{plan.in_advance} rents in advance are more than there are"
                yield Fault(_place(plan, "in_advance"), what, "Write fewer.")


def _buyout_faults(tax: IncomeTax, plan: Plan, days: Days) -> Iterator[Fault]:
    """The buyout of a lease in a tax year whose law is not in the table: it is written off then."""
    if isinstance(plan, LeasePlan) and plan.buyout:
        bought = plus_months(plan.start.on(days), plan.months)
        for fault in year_faults(tax, bought):
            yield Fault(fault.where, f"{fault.what}, of the buyout of '{plan.id}'", fault.allowed)


def _place(plan: Plan, key: str) -> str:
    return f"{FILE}, plan '{plan.id}', {key}"


def _stage_faults(plan: str, stages: tuple[Stage, ...]) -> Iterator[Fault]:
    total = math.fsum(stage.share for stage in stages)
    if abs(total - 1) > _WHOLE:
        what = f"the shares add up to {total:.6g}"
        yield Fault(f"{FILE}, plan '{plan}', stages", what, "They must add up to 1.")


def _interval_faults(plan: LoanPlan | LeasePlan) -> Iterator[Fault]:
    if plan.months % plan.every_months:
        what = f"{plan.months} months are no multiple of {plan.every_months}"
        yield Fault(_place(plan, "months"), what, "Write a multiple of every_months.")


def _loan_faults(plan: LoanPlan, days: Days) -> Iterator[Fault]:
    if plan.stages:
        yield from _stage_faults(plan.id, plan.stages)
    yield from _interval_faults(plan)
    if plan.deposit == 1:
        yield Fault(_place(plan, "deposit"), "1 leaves nothing to borrow", "Write a smaller share.")
    yield from _size_faults(plan)
    first, last = first_instalment(plan, days), last_draw(plan, days)
    if first <= last:
        what = f"the first instalment on {first} does not come after the loan is drawn on {last}"
        yield Fault(_place(plan, "first_payment"), what, "Write a later day.")
    yield from _payoff_faults(plan, days)


def _size_faults(plan: LoanPlan) -> Iterator[Fault]:
    """Leading months, changes in size and offered instalments that do not go together."""
    if plan.interest_only >= plan.months or plan.interest_only % plan.every_months:
        what = f"{plan.interest_only} months of interest only do not fit into {plan.months}"
        allowed = "Write fewer than `months`, a multiple of every_months."
        yield Fault(_place(plan, "interest_only"), what, allowed)
    counts = [step.after for step in plan.steps]
    if counts != sorted(set(counts)) or any(k >= plan.months // plan.every_months for k in counts):
        what = f"changes after {', '.join(map(str, counts))} instalments"
        allowed = "Write them in rising order, before the last instalment."
        yield Fault(_place(plan, "steps"), what, allowed)
    if plan.payment is not None and (plan.steps or plan.repay != "level"):
        what = "an offered instalment is level"
        yield Fault(_place(plan, "payment"), what, "Leave out steps and equal principal, or this.")


def _payoff_faults(plan: LoanPlan, days: Days) -> Iterator[Fault]:
    if plan.early_payoff is None:
        return
    day, last = plan.early_payoff.when.on(days), last_instalment(plan, days)
    if not last_draw(plan, days) < day < last:
        what = f"{day} is not between the last draw and the last instalment on {last}"
        yield Fault(_place(plan, "early_payoff, when"), what, "Write a day between them.")


def last_draw(plan: LoanPlan, days: Days) -> date:
    """The nominal day on which the lender pays out the last part."""
    return max([stage.when.on(days) for stage in plan.stages] or [plan.drawn.on(days)])


def first_instalment(plan: LoanPlan, days: Days) -> date:
    """The nominal day of the first instalment."""
    if plan.first_payment is not None:
        return plan.first_payment.on(days)
    return plus_months(last_draw(plan, days), plan.every_months)


def last_instalment(plan: LoanPlan, days: Days) -> date:
    """The nominal day of the last instalment."""
    return plus_months(first_instalment(plan, days), plan.months - plan.every_months)
