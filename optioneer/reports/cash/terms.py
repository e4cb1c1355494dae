"""The dealer's terms in words, and the days on which a way of paying cannot meet what is due."""

from collections.abc import Iterator, Sequence

from optioneer.model.case import Case
from optioneer.model.terms import Dealer, Stage
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Table
from optioneer.study.cash.answers import PlanCash
from optioneer.study.cash.dates import clock_of
from optioneer.study.cash.payables import dues


def stages_in_words(stages: Sequence[Stage], figures: Figures) -> str:
    """Stages in one line: 10 % order, 90 % shipped."""
    return ", ".join(
        f"{figures.share(stage.share)} {str(stage.when).replace('_', ' ')}" for stage in stages
    )


def quote_in_words(dealer: Dealer, case: Case) -> Iterator[str]:
    """What else the quote says: its day, its end, until when it can be changed, the delivery."""
    if dealer.quoted:
        yield f"Quoted on {dealer.quoted.isoformat()}."
    if dealer.valid_until:
        yield f"The quote holds until {dealer.valid_until.isoformat()}."
    if dealer.freeze:
        day = clock_of(case).nominal(dealer.freeze)
        yield f"The order can be changed until {day.isoformat()}."
    if dealer.delivery_term:
        yield f"Delivery: {dealer.delivery_term}."


def dealer_table(case: Case, price: int, figures: Figures) -> Iterator[Table]:
    """What the dealer asks for on which day, if the case tells it.

    Parameters
    ----------
    price
        What he gets [cents].
    """
    dealer = case.paying.dealer if case.paying else Dealer()
    if not dealer.stages:
        return
    clock = clock_of(case)
    owed = dues(dealer.stages, price, 0.0, clock)
    rows = tuple(
        (clock.paid(one.day).isoformat(), figures.cash(one.lent), figures.share(stage.share), when)
        for one, stage in zip(owed, dealer.stages, strict=True)
        for when in (str(stage.when).replace("_", " "),)
    )
    note = " ".join(["He is paid so under every plan.", *quote_in_words(dealer, case)])
    heads = ("day", "amount", "share", "when")
    yield Table("What the dealer asks for", heads, rows, text_last=True, note=note)


def uncovered_days(plans: Sequence[PlanCash], figures: Figures) -> Iterator[Bullets]:
    """The days on which account and credit line together do not cover what is due, by plan."""
    lines = tuple(
        f"'{plan.id}': {figures.cash(one.cents)} are missing on {one.worst.isoformat()}; what is "
        f"due is not covered {_between(one.first.isoformat(), one.last.isoformat())}."
        for plan in plans
        for one in plan.short
    )
    if lines:
        yield Bullets("Not covered by the account and its credit line", lines)


def disguise(plans: Sequence[PlanCash], figures: Figures) -> Iterator[Bullets]:
    """What each lease costs under both treatments for income tax."""
    lines = tuple(
        f"'{plan.id}' costs {figures.amount(plan.treatments.as_lease)} after tax as a true lease, "
        f"{figures.amount(plan.treatments.as_purchase)} as a purchase in disguise (a buyout far "
        "below what the machine will be worth, or rents over most of its life, speak for that)."
        for plan in plans
        if plan.treatments is not None
    )
    if lines:
        yield Bullets("Lease or purchase? Your accountant decides", lines)


def _between(first: str, last: str) -> str:
    return f"on {first}" if first == last else f"from {first} to {last}"
