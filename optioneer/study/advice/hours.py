"""How many hours the likely work needs, how many there are, and what one more is worth."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

import numpy as np

from optioneer.arrays import Floats
from optioneer.dates import DAYS_PER_YEAR
from optioneer.study.advice.answers import HoursAnswer, Quantiles, YearOfHours
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.shared_hours.hour_prices import Members, members_of
from optioneer.valuation.timing.journey import Journey, trails_of

ENOUGH = 1024
"""Futures on which hours are told, spread over all there are."""


def hours_answer(found: Valued, journeys: Sequence[Journey]) -> HoursAnswer | None:
    """Hours by year with a package, from what happens to it; none where they are not limited.

    Parameters
    ----------
    journeys
        One a cluster.
    """
    limits, attendance = found.case.hours, found.problem.attendance
    members = members_of([cost.lattice for cost in found.costs])
    if limits is None or attendance is None or not members.each:
        return None
    met = _met(found, members, journeys)
    return HoursAnswer(
        attended=limits.attended,
        beyond=limits.beyond,
        beyond_after_tax=None if limits.beyond is None else attendance.beyond,
        exact=found.problem.together,
        years=tuple(_years(found, attendance.hours, *met)),
    )


def _met(found: Valued, members: Members, journeys: Sequence[Journey]) -> tuple[Floats, Floats]:
    """Hours needed and the price of one in each period of enough futures, shape (T, n) each."""
    step = max(found.world.valued.count // ENOUGH, 1)
    held = np.concatenate(
        [
            one.along(trails_of(found.costs[index].lattice, journeys[index]))[:, :, ::step]
            for index, one in members.each.items()
        ]
    )
    view = found.world.view(members.shop.outline, found.world.valued.every(step))
    attendance = found.problem.attendance
    if attendance is None:
        raise TypeError("Hours are told only where they are limited.")
    return members.shop.met(view, held, attendance)


def _years(found: Valued, attended: float, needed: Floats, price: Floats) -> Iterator[YearOfHours]:
    per_year = found.problem.timeline.periods_per_year
    first_chips = found.case.dates.first_chips_date
    for number, start in enumerate(range(0, len(needed), per_year)):
        periods = slice(start, start + per_year)
        hours, worth = needed[periods].mean(axis=0), price[periods].mean(axis=0)
        yield YearOfHours(
            year=number + 1,
            start=_day(first_chips, number),
            end=_day(first_chips, number + 1),
            needed=_quantiles(hours),
            attended=attended,
            short=float((hours > attended).mean()),
            worth=_quantiles(worth),
        )


def _day(first_chips: date, years: int) -> date:
    return first_chips + timedelta(days=round(years * DAYS_PER_YEAR))


def _quantiles(values: Floats) -> Quantiles:
    p10, p50, p90 = (float(value) for value in np.quantile(values, [0.1, 0.5, 0.9]))
    return Quantiles(p10=p10, p50=p50, p90=p90)
