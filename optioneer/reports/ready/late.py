"""What tasks that take longer do to first chips: before and after, side by side."""

from datetime import date

from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Table
from optioneer.reports.ready.page import NONE, delay_cost
from optioneer.study.ready.answers import Readiness


def late_table(planned: Readiness, late: Readiness, figures: Figures) -> Table:
    """Readiness as planned and with the changed tasks.

    Parameters
    ----------
    planned
        As the case says.
    late
        The same with some tasks longer or shorter.
    """
    days = (
        ("machine arrives by the plan", planned.delivery, late.delivery),
        ("first chips by the plan", planned.planned_first_chips, late.planned_first_chips),
        *zip(RUNS, _runs(planned), _runs(late), strict=True),
    )
    rows = (
        (
            "chance that the site is ready on delivery",
            *(
                NONE
                if one.ready_on_delivery_chance is None
                else figures.share(one.ready_on_delivery_chance)
                for one in (planned, late)
            ),
            "",
        ),
        *((name, _day(old), _day(new), _change(old, new)) for name, old, new in days),
        (
            "cost of delay past the plan, on average",
            delay_cost(planned, figures),
            delay_cost(late, figures),
            "",
        ),
    )
    heads = ("", "as planned", "what if", "change")
    return Table("First chips, what if", heads, rows, text_last=True)


RUNS = ("first chips in half of the runs by", "in four of five by", "in nineteen of twenty by")
"""What the days of first chips are called."""


def _runs(answer: Readiness) -> tuple[date | None, ...]:
    chips = answer.first_chips
    return (None,) * len(RUNS) if chips is None else (chips.p50, chips.p80, chips.p95)


def _day(day: date | None) -> str:
    return NONE if day is None else day.isoformat()


def _change(old: date | None, new: date | None) -> str:
    return "" if old is None or new is None else later(old, new)


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
