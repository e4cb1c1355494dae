"""From the facts of a case to the arrays of its valuation."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.checks.scenario import whole_periods
from optioneer.model.fact import Triangular, triangular
from optioneer.model.growth import Growth as Scenario
from optioneer.model.growth import Stream
from optioneer.study.cash.financing import income_tax_rate, retrofit_factors, shop_rate
from optioneer.study.problem.clusters import attendance_of, bounds_of, clusters, lattice_of
from optioneer.valuation.hours import Attendance
from optioneer.valuation.large.short_list import Listed
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.worlds.scenario import Growth
from optioneer.valuation.worlds.timeline import Timeline


@dataclass(frozen=True)
class Start:
    """When a machine is there, on a calendar that is not its own.

    Parameters
    ----------
    lead
        Time 0 to the first period in which it is there [years]; none: its own order to its own
        first chips.
    share
        Share of that period in which it is there, > 0.
    ordered
        Time 0 to its order [years].
    """

    lead: float | None = None
    share: float = 1.0
    ordered: float = 0.0


ON_TIME = Start()
"""A machine on its own calendar."""


@dataclass(frozen=True)
class Problem:
    """A case as arrays.

    Parameters
    ----------
    options
        Ids of all options, sorted; their positions are the option indices of the lattices.
    lattices
        One a cluster of related slots; an empty list of packages where a cluster has too many.
    base_price
        Paid at the order whatever the package, order factor included [money].
    base_resale
        Value of the bare machine at the horizon, discounted [money].
    base_resale_share
        The share of the base price that it is.
    order_factor
        Present value of paying for the order, per unit of price, > 0.
    alone
        Streams that no option serves: index and share of the margin lost whatever the package.
        Where hours are limited those that take hours are in a lattice, of no slots if need be.
    attendance
        Hours in which somebody is there; none where they are not limited.
    together
        Whether one lattice holds all that takes hours, so that their mix is valued exactly.
    ordered
        What money of the order date is worth at time 0, per unit.
    """

    timeline: Timeline
    growth: Growth
    options: tuple[str, ...]
    lattices: tuple[Lattice, ...]
    base_price: float
    base_resale: float
    base_resale_share: float
    order_factor: float
    alone: tuple[tuple[int, float], ...]
    attendance: Attendance | None = None
    together: bool = True
    ordered: float = 1.0


def problem_of(
    case: Case,
    *,
    order_factor: float = 1.0,
    start: Start = ON_TIME,
    seconds: float | None = None,
    lattices: tuple[Lattice, ...] | None = None,
) -> Problem:
    """The arrays of `case`.

    Parameters
    ----------
    order_factor
        Present value of paying for the order, per unit of price; 1 when all is paid at the order.
    start
        When the machine is there, on a common calendar.
    seconds
        Most that valuing every package of a cluster may take; none: as long as it takes [s].
    lattices
        Of the clusters, where they are built already.
    """
    timeline = timeline_of(case, start)
    ordered = (1.0 + timeline.rate) ** -start.ordered
    order_factor *= ordered
    if lattices is None:
        lattices = tuple(lattice_of(case, slots, order_factor, seconds) for slots in clusters(case))
    resale = case.machine.resale_share * case.machine.base_price * (1.0 - income_tax_rate(case))
    return Problem(
        timeline=timeline,
        growth=growth_of(case),
        options=tuple(sorted(case.catalogue.by_id)),
        lattices=lattices,
        base_price=order_factor * case.machine.base_price,
        base_resale=float(timeline.at_start[-1]) * resale,
        base_resale_share=case.machine.resale_share,
        order_factor=order_factor,
        alone=tuple(
            (k, 1.0 - max([stream.fallback, *(way.share for way in stream.way)]))
            for k, stream in enumerate(case.growth.stream)
            if not stream.served and not case.counts_hours_of(stream)
        ),
        attendance=attendance_of(case),
        together=_together(case, lattices),
        ordered=ordered,
    )


def _together(case: Case, lattices: Sequence[Lattice]) -> bool:
    """Whether one lattice holds all that takes hours; a list of packages pays for its hours."""
    taking = [
        lattice
        for slots, lattice in zip(clusters(case), lattices, strict=True)
        if case.takes_hours(slots)
    ]
    return len(taking) <= 1 and not any(isinstance(lattice, Listed) for lattice in taking)


def timeline_of(case: Case, start: Start = ON_TIME) -> Timeline:
    """The clock of `case`."""
    growth = case.growth
    return Timeline(
        lead=case.dates.lead_years if start.lead is None else start.lead,
        periods=growth.periods,
        periods_per_year=growth.periods_per_year,
        rate=shop_rate(case),
        inflation=growth.retrofit_inflation,
        paying=retrofit_factors(case),
        share=start.share,
    )


def growth_of(case: Case) -> Growth:
    """The growth scenario of `case` as arrays, streams in the order of the file."""
    growth = case.growth
    streams, drivers = growth.stream, growth.driver
    loadings = [[stream.drivers.get(driver.id, 0.0) for driver in drivers] for stream in streams]
    return Growth(
        keys=tuple(stream.id for stream in streams),
        chance=np.array([stream.mean_chance for stream in streams], dtype=np.float64),
        years=triangle_rows(stream.years for stream in streams),
        margin=(1.0 - income_tax_rate(case)) * triangle_rows(stream.margin for stream in streams),
        growth=np.array([stream.growth for stream in streams], dtype=np.float64),
        swing=np.array([stream.swing for stream in streams], dtype=np.float64),
        life=np.array([_known_life(stream, growth) for stream in streams], dtype=np.int32),
        loadings=np.array(loadings, dtype=np.float64).reshape(len(streams), len(drivers)),
        nudge=np.array([driver.nudge for driver in drivers], dtype=np.float64),
        chances=_ranges(stream.chance for stream in streams),
        lasts=_ranges(stream.lasts_years for stream in streams),
        stay=_stay(case),
    )


def triangle_rows(triangulars: Iterable[Triangular]) -> Floats:
    """A row of low, likely and high each, shape (n, 3)."""
    return np.array([bounds_of(t) for t in triangulars], dtype=np.float64).reshape(-1, 3)


def _known_life(stream: Stream, growth: Scenario) -> int:
    """Whole periods that a stream lasts; all of them if to the horizon or if nobody knows."""
    if isinstance(stream.lasts_years, float):
        return min(whole_periods(stream.lasts_years, growth), growth.periods)
    years = stream.lasts_years
    return growth.periods if years is None or not years.certain else _sure(years, growth)


def _sure(years: Triangular, growth: Scenario) -> int:
    return min(whole_periods(years.likely, growth), growth.periods)


def _ranges(figures: Iterable[float | Triangular | None]) -> tuple[Floats | None, ...]:
    """Low, likely, high of each figure that nobody knows; nothing at all where all are known."""
    found = tuple(
        bounds_of(figure) if isinstance(figure, Triangular) and not figure.certain else None
        for figure in figures
    )
    return found if any(each is not None for each in found) else ()


def _stay(case: Case) -> Floats | None:
    """When the machine may be sold before the horizon; none where it never is."""
    kept = case.machine.kept_years
    if kept is None or whole_periods(triangular(kept).low, case.growth) >= case.growth.periods:
        return None
    return bounds_of(triangular(kept))
