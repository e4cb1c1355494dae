"""What tasks that take longer do to first chips: before and after, side by side."""

from datetime import date

from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Table
from optioneer.study.ready.answers import Readiness


def late_table(planned: Readiness, late: Readiness, figures: Figures) -> Table:
    """Readiness as planned and with the changed tasks.

    Parameters
    ----------
    planned
        As the case says.
    late
        The same with some tasks longer or shorter.
    figures
        How amounts are said.
    """
    before, after = planned.first_chips, late.first_chips
    days = (
        ("machine arrives by the plan", planned.delivery, late.delivery),
        ("first chips by the plan", planned.planned_first_chips, late.planned_first_chips),
        ("first chips in half of the runs by", before.p50, after.p50),
        ("in four of five by", before.p80, after.p80),
        ("in nineteen of twenty by", before.p95, after.p95),
    )
    rows = (
        (
            "chance that the site is ready on delivery",
            figures.share(planned.ready_on_delivery_chance),
            figures.share(late.ready_on_delivery_chance),
            "",
        ),
        *((name, old.isoformat(), new.isoformat(), later(old, new)) for name, old, new in days),
        (
            "cost of delay past the plan, on average",
            figures.amount(planned.expected_delay_cost),
            figures.amount(late.expected_delay_cost),
            "",
        ),
    )
    heads = ("", "as planned", "what if", "change")
    return Table("First chips, what if", heads, rows, text_last=True)


def later(old: date, new: date) -> str:
    """How much later a day is, in words.

    Examples
    --------
    >>> later(date(2027, 5, 1), date(2027, 5, 15))
    '14 days later'
    >>> later(date(2027, 5, 2), date(2027, 5, 1))
    '1 day earlier'
    """
    days = abs((new - old).days)
    if not days:
        return "the same"
    return f"{days} day{'s' * (days > 1)} {'later' if new > old else 'earlier'}"
