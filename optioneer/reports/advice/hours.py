"""Hours on paper: how many the likely work needs, how many there are, what one more is worth."""

from typing import Any

from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Paragraph, Part, Table
from optioneer.study.advice.answers import Advice, HoursAnswer, Quantiles, YearOfHours

TITLE = "Hours with this order"

HEADS = (
    *("year", "from", "needed P10", "P50", "P90", "attended", "short in"),
    *("one more is worth P10", "P50", "P90"),
)

NOTE = (
    "Needed: what all the work that is here would take, each kind by the owned ways that earn "
    "most. Short in: futures in which that is more than the attended hours, so that the work that "
    "earns least an hour is left, or hours are bought. Worth: what one more attended hour a year "
    "would earn, in money of the year. A tenth of the futures lie below P10 and a tenth above P90."
)

APART = (
    "Too many packages share the hours to value them together: related options were valued apart, "
    "an hour at its price, and every package is told with the work that it really has time for."
)


VISITS_APART = (
    "Too many packages share the call-out {names} to value them together: related options were "
    "valued apart, those who use it pay for its visits in turns, and every package is told with "
    "each visit paid for once. `--prove` says how far the advice can be from the best."
)


def visits_parts(advice: Advice) -> tuple[Part, ...]:
    """Which call-outs options share that were valued apart; nothing where none were."""
    if not advice.visits_apart:
        return ()
    return (Paragraph(VISITS_APART.format(names=", ".join(advice.visits_apart))),)


def hours_parts(advice: Advice, figures: Figures) -> tuple[Part, ...]:
    """A sentence and a table by year; nothing where hours are not limited."""
    hours = advice.hours
    if hours is None:
        return ()
    rows = tuple(_row(each, figures) for each in hours.years)
    apart = () if hours.exact else (Paragraph(APART),)
    return (Paragraph(_sentence(hours, figures)), Table(TITLE, HEADS, rows, note=NOTE), *apart)


def _row(year: YearOfHours, figures: Figures) -> tuple[str, ...]:
    return (
        str(year.year),
        year.start.isoformat(),
        *(figures.number(hours, 0) for hours in _each(year.needed)),
        figures.number(year.attended, 0),
        figures.share(year.short),
        *(figures.number(worth, 2) for worth in _each(year.worth)),
    )


def _each(quantiles: Quantiles) -> tuple[float, float, float]:
    return quantiles.p10, quantiles.p50, quantiles.p90


def _sentence(hours: HoursAnswer, figures: Figures) -> str:
    """How scarce hours are, in the year in which they are scarcest."""
    there = f"{figures.number(hours.attended, 0)} attended hours a year"
    more = "there are no more"
    if hours.beyond is not None:
        more = f"one more costs {figures.number(hours.beyond, 2)} {figures.currency}"
        if hours.beyond_after_tax is not None and hours.beyond_after_tax != hours.beyond:
            after = figures.number(hours.beyond_after_tax, 2)
            more += f" ({after} after tax, as is all that is told here)"
    worst = max(hours.years, key=lambda year: (year.short, year.needed.p50))
    if worst.short == 0.0:
        return f"Hours: {there} are enough for all the work in every future ({more})."
    return (
        f"Hours: {there}; {more}. They are scarcest in year {worst.year}: "
        f"{figures.number(worst.needed.p50, 0)} are needed in half of the futures or more, they "
        f"are short in {figures.share(worst.short)} of futures, and one more is then worth "
        f"{figures.number(worst.worth.p50, 2)} {figures.currency} in the middle future, "
        f"{figures.number(worst.worth.p90, 2)} or more in one of ten."
    )


def hour_rows(advice: Advice) -> list[dict[str, Any]]:
    """Hours by year, one row each, for a chart: what is needed, there, and worth."""
    if advice.hours is None:
        return []
    return [
        {
            "year": year.year,
            "needed_low": year.needed.p10,
            "needed": year.needed.p50,
            "needed_high": year.needed.p90,
            "attended": year.attended,
            "worth_low": year.worth.p10,
            "worth": year.worth.p50,
            "worth_high": year.worth.p90,
        }
        for year in advice.hours.years
    ]
