"""Retrofits that may come: bands over the futures, never mixed into what is contracted."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats
from optioneer.dates import DAYS_PER_YEAR
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.study.worth.packages import states_of, with_package
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.timing.journey import Journey

WHEN_NEVER = -1
ALL = ""
"""Option of a band over all retrofits together."""


@dataclass(frozen=True)
class RetrofitPayments:
    """What the retrofits of one option cost in each of n futures.

    Parameters
    ----------
    period
        Period in which it is fitted, shape (n,); `WHEN_NEVER` where it is not.
    paid
        Price, downtime and share of the call-out, shape (n,) [money of that day].
    """

    option: str
    period: NDArray[np.int32]
    paid: Floats


@dataclass(frozen=True)
class Band:
    """What may be paid for retrofits in one year [money of that year].

    Parameters
    ----------
    start, end
        First day of the year after first chips, and the day after its last.
    option
        Id; `ALL` for all together.
    chance
        Share of futures in which anything is paid that year.
    p10, p50, p90
        One future in ten pays less; half of them; one in ten pays more.
    mean
        Average over the futures.
    """

    start: date
    end: date
    option: str
    chance: float
    p10: float
    p50: float
    p90: float
    mean: float


def retrofit_payments(found: Valued, package: Package) -> tuple[RetrofitPayments, ...]:
    """The retrofits that the learned policy makes after ordering `package`, by option."""
    found = with_package(found, package)
    journeys = found.journeys(states_of(found, package))
    return tuple(
        payments
        for cost, journey in zip(found.costs, journeys, strict=True)
        if cost.lattice.targets
        for payments in _of_cluster(found, journey, cost.lattice)
    )


def _of_cluster(found: Valued, journey: Journey, lattice: Lattice) -> Iterator[RetrofitPayments]:
    timeline = found.problem.timeline
    for target, period, paid in zip(lattice.targets, journey.fitted_in, journey.paid, strict=True):
        fitted = period < timeline.periods
        # what leaves the bank: what tax gives back later is taken out again
        worth = timeline.at_start[period] * timeline.retrofit_level[period]
        worth = worth / timeline.price_level[period]
        yield RetrofitPayments(
            found.problem.options[target.option],
            np.where(fitted, period, WHEN_NEVER).astype(np.int32),
            np.where(fitted, paid / worth, 0.0),
        )


def expected_bands(case: Case, found: Valued, package: Package) -> tuple[Band, ...]:
    """What may be paid for retrofits after ordering `package`, year by year."""
    return bands(
        retrofit_payments(found, package),
        first_chips=case.dates.first_chips_date,
        periods=case.growth.periods,
        periods_per_year=case.growth.periods_per_year,
    )


def bands(
    payments: Sequence[RetrofitPayments], *, first_chips: date, periods: int, periods_per_year: int
) -> tuple[Band, ...]:
    """Bands by year after first chips: all retrofits together, then each that is ever made.

    Parameters
    ----------
    payments
        By option, over the same futures.
    first_chips
        Start of period 0.
    periods, periods_per_year
        Of the valuation.
    """
    years = -(-periods // periods_per_year)
    found = []
    for year in range(years):
        rows = {one.option: _in_year(one, year, periods_per_year) for one in payments}
        if rows:
            together = np.sum(list(rows.values()), axis=0)
            found.append(_band(ALL, together, (first_chips, year)))
        found.extend(
            _band(option, paid, (first_chips, year)) for option, paid in rows.items() if paid.any()
        )
    return tuple(found)


def _in_year(one: RetrofitPayments, year: int, periods_per_year: int) -> Floats:
    within = (one.period >= 0) & (one.period // periods_per_year == year)
    return np.where(within, one.paid, 0.0)


def _band(option: str, paid: Floats, place: tuple[date, int]) -> Band:
    first_chips, year = place
    p10, p50, p90 = np.quantile(paid, [0.1, 0.5, 0.9])
    start, end = (first_chips + timedelta(days=round((year + k) * DAYS_PER_YEAR)) for k in (0, 1))
    return Band(
        start,
        end,
        option,
        float((paid > 0).mean()),
        float(p10),
        float(p50),
        float(p90),
        float(paid.mean()),
    )
