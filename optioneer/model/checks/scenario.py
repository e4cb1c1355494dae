"""Checks on the growth scenario."""

import math
from collections.abc import Iterator

from optioneer.errors import Fault, did_you_mean
from optioneer.model.case import Case
from optioneer.model.checks.candidates import REVIEW, duplicates, together
from optioneer.model.checks.compatibility import Orders
from optioneer.model.checks.menu import unknown
from optioneer.model.fact import triangular
from optioneer.model.growth import Growth, Stream

FILE = "growth.toml"
MOST_PERIODS = 480
MOST_DRIVERS = 32
MOST_STREAMS = 200
TOLERANCE = 1e-9


def horizon_faults(case: Case) -> Iterator[Fault]:
    """A horizon that is no whole number of periods, or has too many."""
    growth = case.growth
    periods = growth.horizon_years * growth.periods_per_year
    where = f"{FILE}, horizon_years"
    if abs(periods - round(periods)) > TOLERANCE * max(1.0, periods) or round(periods) < 1:
        what = f"{growth.horizon_years:.12g} years are {periods:.12g} periods, no whole number"
        yield Fault(where, what, f"Write a multiple of 1/{growth.periods_per_year}.")
    if periods > MOST_PERIODS:
        what = f"{periods:.0f} periods are too many to value"
        yield Fault(where, what, f"At most {MOST_PERIODS}: lower periods_per_year.")


def driver_faults(case: Case) -> Iterator[Fault]:
    """Drivers and streams that share an id, or are too many."""
    growth = case.growth
    yield from duplicates(FILE, "driver", [driver.id for driver in growth.driver])
    yield from duplicates(FILE, "stream", [stream.id for stream in growth.stream])
    for key, most in (("driver", MOST_DRIVERS), ("stream", MOST_STREAMS)):
        count = len(getattr(growth, key))
        if count > most:
            yield Fault(f"{FILE}, [[{key}]]", f"there are {count}", f"At most {most}.")


def stream_faults(case: Case) -> Iterator[Fault]:
    """Loadings on drivers that do not exist or weigh too much; work that lasts no period."""
    for stream in case.growth.stream:
        yield from _loading_faults(stream, case.growth)
        if stream.lasts_years is not None:
            where = f"{FILE}, stream '{stream.id}', lasts_years"
            yield from _no_period(triangular(stream.lasts_years).low, where, case.growth)
    if case.machine.kept_years is not None:
        shortest = triangular(case.machine.kept_years).low
        yield from _no_period(shortest, "machine.toml, machine, kept_years", case.growth)


def _no_period(years: float, where: str, growth: Growth) -> Iterator[Fault]:
    if whole_periods(years, growth) < 1:
        what = f"{years:.12g} years round to no period at all"
        least = f"At least half a period: {0.5 / growth.periods_per_year:.6g} years."
        yield Fault(where, what, least)


def whole_periods(years: float, growth: Growth) -> int:
    """Whole periods in so many years, half a period rounded up.

    Parameters
    ----------
    years
        A length of time [years].
    """
    return math.floor(years * growth.periods_per_year + 0.5 + TOLERANCE)


def _loading_faults(stream: Stream, growth: Growth) -> Iterator[Fault]:
    where = f"{FILE}, stream '{stream.id}', drivers"
    known = [driver.id for driver in growth.driver]
    for name in stream.drivers:
        if name not in known:
            yield Fault(where, f"there is no driver '{name}'", did_you_mean(name, known))
    total = math.fsum(loading**2 for loading in stream.drivers.values())
    if total > 1 + TOLERANCE:
        what = f"the squares of the loadings sum to {total:.6g}"
        yield Fault(where, what, "They sum to at most 1; lower the loadings.")


def way_faults(case: Case) -> Iterator[Fault]:
    """Ways with options that do not exist or can never stand on the machine together."""
    orders = Orders(case.catalogue)
    for stream in case.growth.stream:
        for number, way in enumerate(stream.way, 1):
            where = f"{FILE}, stream '{stream.id}', way {number}, options"
            yield from unknown(way.options, case.catalogue, where)
            why = together(orders, way.options)
            if why:
                yield Fault(where, f"it can never be owned: {why}", REVIEW)


def notes(case: Case) -> Iterator[Fault]:
    """Streams that no package changes or that come too late, and ways that never count."""
    if not case.growth.stream:
        yield Fault(FILE, "names no work stream", "Only prices, upkeep and resale are compared.")
    for stream in case.growth.stream:
        where = f"{FILE}, stream '{stream.id}'"
        if not stream.way:
            yield Fault(where, "has no way", "No option changes what it earns.")
        yield from _late(case, stream, where)
        for number, way in enumerate(stream.way, 1):
            if way.share <= stream.fallback:
                what = f"earns no more than the fallback of {stream.fallback:g}"
                yield Fault(f"{where}, way {number}, share", what, "The way never counts.")


def _late(case: Case, stream: Stream, where: str) -> Iterator[Fault]:
    """What of a stream lies beyond the horizon or the stay, where nothing counts any more."""
    years, (end, told) = stream.years, _last_day(case)
    if years.low >= end:
        what = f"comes {years.low:g} years after first chips at the earliest"
        yield Fault(f"{where}, years", what, f"{told}: it never counts.")
    elif years.likely >= end:
        what = f"comes most likely {years.likely:g} years after first chips"
        yield Fault(f"{where}, years", what, f"{told}: from then on it does not count.")


def _last_day(case: Case) -> tuple[float, str]:
    """Years after first chips from which nothing counts, and why."""
    horizon = case.growth.horizon_years
    stay = horizon if case.machine.kept_years is None else triangular(case.machine.kept_years).high
    if stay < horizon:
        return stay, f"The machine is kept {stay:g} years at most"
    return horizon, f"The horizon ends after {horizon:g}"
