"""The rates of exchange at which another dealer's quote becomes the better one."""

from collections.abc import Callable, Collection, Mapping, Sequence
from math import exp, log

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.model.case import Case
from optioneer.study.compare.answers import RateTurn
from optioneer.study.compare.one_calendar import one_calendar
from optioneer.study.problem.effort import Effort
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.choice.turning import TurnSearch, nearest_turn

FUTURES = 512
"""Futures that a rate is tried on at most."""

RANGE, STEPS, CLOSE = log(2.0), 8, 0.002
"""A turn is looked for between half and twice the rate, in so many steps, to a fifth of a percent;
all on the logarithm of the rate."""

AtRates = Callable[[Mapping[str, float]], Sequence[Case]]
"""The dated cases on the common growth, in the common currency at some rates."""


def rate_turns(at: AtRates, rates: Mapping[str, float], common: str) -> tuple[RateTurn, ...]:
    """For each foreign currency the nearest rate at which the best quote is another one.

    Parameters
    ----------
    at
        The cases at any rates.
    rates
        What one unit of each currency is worth in the common one.
    common
        The common currency.

    Notes
    -----
    The advised package of every case is found anew at every rate. All other rates stay. Which
    quotes are better is asked of the currency as a whole: those in it against the others.
    """
    quotes = {code: _quoted_in(at, rates, code) for code in rates if code != common}
    everyone = {case.name for case in at(rates)}
    return tuple(
        _turn(at, rates, code, members) for code, members in quotes.items() if members < everyone
    )


def _turn(at: AtRates, rates: Mapping[str, float], code: str, members: Collection[str]) -> RateTurn:
    names = sorted(case.name for case in at(rates))

    def costs(place: float, _: Bools | None = None) -> Floats:
        """What the best package of each quote costs [money]."""
        found = _best_costs(at({**rates, code: exp(place)}))
        return np.array([found[name] for name in names])

    here = log(rates[code])
    search = TurnSearch(here=here, low=here - RANGE, high=here + RANGE, steps=STEPS, close=CLOSE)
    own = np.isin(names, list(members))
    place = nearest_turn(costs, None, search, own)
    return RateTurn(currency=code, rate=rates[code], turns_at=None if place is None else exp(place))


def _quoted_in(at: AtRates, rates: Mapping[str, float], code: str) -> frozenset[str]:
    """Names of the cases whose prices move with this rate: their quotes are in that currency."""
    now, moved = at(rates), at({**rates, code: 2.0 * rates[code]})
    return frozenset(
        one.name
        for one, other in zip(now, moved, strict=True)
        if one.machine.base_price != other.machine.base_price
    )


def _best_costs(cases: Sequence[Case]) -> dict[str, float]:
    """What the best package of each case costs, by its name [money]."""
    few = [with_draws(case, min(FUTURES, case.growth.futures)) for case in cases]
    calendar = one_calendar(few)
    found = [
        valued_case(calendar.on(case), effort=Effort(), start=calendar.start(case)) for case in few
    ]
    days = [case.dates.first_chips_date for case in few]
    margin = found[days.index(calendar.first_chips)].margin
    return {one.case.name: _best(one, margin) for one in found}


def _best(found: Valued, margin: Floats) -> float:
    """Least mean cost on the common calendar [money]."""
    return float((found.cost(best_package(found)) + margin - found.margin).mean())
