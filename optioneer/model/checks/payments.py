"""Checks on ways of paying: stages, dates that come before others, plans that never end."""

import math
from collections.abc import Iterator
from datetime import date

from optioneer.dates import plus_months
from optioneer.errors import Fault, did_you_mean
from optioneer.model.case import Case
from optioneer.model.checks.candidates import duplicates
from optioneer.model.checks.money import least_price
from optioneer.model.paying import (
    ACCEPTED,
    DELIVERY,
    EACH_STAGE,
    IncomeTax,
    LeasePlan,
    LoanPlan,
    PayDays,
    Plan,
    StagedPlan,
)
from optioneer.model.tax_years import tax_years
from optioneer.model.terms import Dealer, Stage
from optioneer.model.when import Days, When, milestones

FILE = "paying.toml"
_WHOLE = 1e-6
"""Stages whose shares miss 1 by less than this were meant to add up: three times 0.333333."""


def paying_faults(case: Case) -> Iterator[Fault]:
    """Everything in the ways of paying that does not fit together."""
    paying = case.paying
    if paying is None:
        return
    yield from duplicates(FILE, "plan", [plan.id for plan in paying.plan])
    yield from _dealer_faults(paying.dealer)
    yield from _place_faults(paying.calendar)
    days = milestones(case.dates)
    if days["first_chips"] < days["order"]:
        return  # a fault of its own
    for plan in paying.plan:
        yield from plan_faults(plan, days, paying.dealer.stages)
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


def plan_faults(plan: Plan, days: Days, asked: tuple[Stage, ...] = ()) -> Iterator[Fault]:
    """What is wrong with one plan.

    Parameters
    ----------
    days
        When the milestones fall.
    asked
        The dealer's stages, where his quote tells them.
    """
    match plan:
        case StagedPlan():
            yield from _own_stage_faults(plan, asked)
        case LoanPlan():
            yield from _loan_faults(plan, days, asked)
        case LeasePlan():
            yield from _interval_faults(plan)
            yield from _deposit_faults(plan, asked)
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


def _dealer_faults(dealer: Dealer) -> Iterator[Fault]:
    """Stages that are not the whole price, and a quote that ends before it was made."""
    if dealer.stages:
        yield from _stage_faults(f"{FILE}, dealer, stages", dealer.stages)
    quoted, until = dealer.quoted, dealer.valid_until
    if quoted is not None and until is not None and until < quoted:
        what = f"{until} is before the quote of {quoted}"
        yield Fault(f"{FILE}, dealer, valid_until", what, "Write the day of the quote or later.")


def _own_stage_faults(plan: StagedPlan | LoanPlan, asked: tuple[Stage, ...]) -> Iterator[Fault]:
    """Stages of a plan that are missing, not the whole price, or not those that the dealer asks."""
    where, at_once = _place(plan, "stages"), isinstance(plan, LoanPlan) and plan.drawn != EACH_STAGE
    if not plan.stages and not asked and not at_once:
        what = "are missing"
        yield Fault(where, what, "Write them here, or as what the dealer asks for: [dealer].")
    if plan.stages and asked and plan.stages != asked:
        what = "are not those that the dealer asks for"
        yield Fault(where, what, "Leave them out: [dealer] says when he is paid.")
    elif plan.stages:
        yield from _stage_faults(where, plan.stages)


def _deposit_faults(plan: LoanPlan | LeasePlan, asked: tuple[Stage, ...]) -> Iterator[Fault]:
    """A day of the deposit where the dealer has days of his own."""
    if asked and plan.deposit_when is not None:
        what = "the dealer's own days hold"
        allowed = "Leave it out: the deposit is used up first on the days of [dealer]."
        yield Fault(_place(plan, "deposit_when"), what, allowed)


def _stage_faults(where: str, stages: tuple[Stage, ...]) -> Iterator[Fault]:
    total = math.fsum(stage.share for stage in stages)
    if abs(total - 1) > _WHOLE:
        yield Fault(where, f"the shares add up to {total:.6g}", "They must add up to 1.")


def _interval_faults(plan: LoanPlan | LeasePlan) -> Iterator[Fault]:
    if plan.months % plan.every_months:
        what = f"{plan.months} months are no multiple of {plan.every_months}"
        yield Fault(_place(plan, "months"), what, "Write a multiple of every_months.")


def _loan_faults(plan: LoanPlan, days: Days, asked: tuple[Stage, ...]) -> Iterator[Fault]:
    yield from _own_stage_faults(plan, asked)
    yield from _deposit_faults(plan, asked)
    yield from _interval_faults(plan)
    if plan.deposit == 1:
        yield Fault(_place(plan, "deposit"), "1 leaves nothing to borrow", "Write a smaller share.")
    yield from _size_faults(plan)
    first, last = first_instalment(plan, days, asked), last_draw(plan, days, asked)
    if first <= last:
        what = f"the first instalment on {first} does not come after the loan is drawn on {last}"
        yield Fault(_place(plan, "first_payment"), what, "Write a later day.")
    yield from _payoff_faults(plan, days, asked)


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


def _payoff_faults(plan: LoanPlan, days: Days, asked: tuple[Stage, ...]) -> Iterator[Fault]:
    if plan.early_payoff is None:
        return
    day, last = plan.early_payoff.when.on(days), last_instalment(plan, days, asked)
    if not last_draw(plan, days, asked) < day < last:
        what = f"{day} is not between the last draw and the last instalment on {last}"
        yield Fault(_place(plan, "early_payoff, when"), what, "Write a day between them.")


def lent_stages(plan: LoanPlan, asked: tuple[Stage, ...]) -> tuple[Stage, ...]:
    """The stages that the lender pays as they fall due; none: he lets the loan go at once."""
    return plan.stages or (asked if plan.drawn == EACH_STAGE else ())


def release(plan: LoanPlan, asked: tuple[Stage, ...]) -> When:
    """When a lender who does not pay the stages lets the loan go."""
    if isinstance(plan.drawn, When):
        return plan.drawn
    return ACCEPTED if asked else DELIVERY


def last_draw(plan: LoanPlan, days: Days, asked: tuple[Stage, ...]) -> date:
    """The nominal day on which the lender pays out the last part."""
    paid = [stage.when.on(days) for stage in lent_stages(plan, asked)]
    return max(paid or [release(plan, asked).on(days)])


def first_instalment(plan: LoanPlan, days: Days, asked: tuple[Stage, ...]) -> date:
    """The nominal day of the first instalment."""
    if plan.first_payment is not None:
        return plan.first_payment.on(days)
    return plus_months(last_draw(plan, days, asked), plan.every_months)


def last_instalment(plan: LoanPlan, days: Days, asked: tuple[Stage, ...]) -> date:
    """The nominal day of the last instalment."""
    return plus_months(first_instalment(plan, days, asked), plan.months - plan.every_months)
