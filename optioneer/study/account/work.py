"""What the machine earns and costs to keep in each period and future, before tax."""

from collections.abc import Sequence

import numpy as np

from optioneer.arrays import Floats
from optioneer.study.cash.financing import income_tax_rate
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.lattice.mix import lost_during
from optioneer.valuation.shared_hours.hour_prices import members_of
from optioneer.valuation.shared_hours.shop import held_steps, overpaid
from optioneer.valuation.timing.journey import Journey
from optioneer.valuation.worlds.futures import margin_in
from optioneer.valuation.worlds.lives import sale_worth


def yearly_work(found: Valued, journeys: Sequence[Journey]) -> tuple[Floats, Floats]:
    """What all work brings and what is spent on upkeep, a year, shape (T, n) each [money/year].

    Parameters
    ----------
    found
        The valued case; no cluster of it was searched.
    journeys
        What happens to the package, one a cluster.

    Notes
    -----
    Margins of all streams less what is lost with what is owned, in money of the day. The sums are
    those of the valuation: discounted and after tax they give its outcome again.
    """
    timeline, left = found.problem.timeline, 1.0 - income_tax_rate(found.case)
    earned = _margins(found) - _lost_alone(found) - _lost_to_hours(found, journeys)
    upkeep = np.zeros(earned.shape)
    stay = _stay(found)
    for cost, journey in zip(found.costs, journeys, strict=True):
        start = 0
        for view in found.world.views(cost.lattice):
            some = slice(start, start + view.futures.count)
            columns, start = np.arange(view.futures.count), some.stop
            for t in range(timeline.periods):
                now, owned = range(t, t + 1), journey.owned[t, some]
                lost = lost_during(view, now, view.known_level(now))[owned, columns]
                here = stay[some] > t
                factor = timeline.during[t] * timeline.dt
                earned[t, some] -= np.where(here, lost / factor, 0.0)
                upkeep[t, some] += np.where(here, cost.lattice.upkeep[owned], 0.0)
    return earned / left, upkeep / left


def _stay(found: Valued) -> Floats:
    futures = found.world.valued
    if not futures.stay.size:
        return np.full(futures.count, found.problem.timeline.periods, dtype=np.float64)
    return futures.stay.astype(np.float64)


def _margins(found: Valued) -> Floats:
    """Margins of all streams, whoever does the work, shape (T, n) [money/year]."""
    return _margins_of(found, dict.fromkeys(range(len(found.problem.growth.keys)), 1.0))


def _lost_alone(found: Valued) -> Floats:
    """Of streams that no option serves, what is lost whatever is ordered."""
    return _margins_of(found, dict(found.problem.alone))


def _margins_of(found: Valued, shares: dict[int, float]) -> Floats:
    timeline, futures = found.problem.timeline, found.world.valued
    total = np.zeros((timeline.periods, futures.count))
    for stream, share in shares.items():
        for t in range(timeline.periods):
            total[t] += share * margin_in(
                found.problem.growth, timeline, futures, stream=stream, period=t
            )
    return total


def _lost_to_hours(found: Valued, journeys: Sequence[Journey]) -> Floats:
    """What the best mix of work for the hours adds to what clusters lose at their price."""
    world, periods = found.world, found.problem.timeline.periods
    lost = np.zeros((periods, world.valued.count))
    if not found.mix.any_tied or world.price is None or world.attendance is None:
        return lost
    members = members_of([cost.lattice for cost in found.costs])
    held = np.concatenate([one.sets_held(journeys[i].owned) for i, one in members.each.items()])
    margins = members.shop.margins(world.view(members.shop.outline, world.valued))
    for t in range(periods):
        steps = held_steps(members.shop.sets, held[:, t])
        over = overpaid(steps, margins[:, t], world.price[t], world.attendance)
        lost[t] = over - world.attendance.hours * world.price[t]
    return lost


def base_worth(found: Valued, period: int) -> float:
    """What the bare machine brings at the start of a period [money]."""
    machine, periods = found.case.machine, found.problem.timeline.periods
    if not machine.resale_share:
        return 0.0
    return float(machine.base_price * machine.resale_share ** (period / periods))


def option_worth(found: Valued, journeys: Sequence[Journey], period: int) -> Floats:
    """What the options owned bring at the start of a period, shape (n,) [money]."""
    timeline, left = found.problem.timeline, 1.0 - income_tax_rate(found.case)
    total = np.zeros(found.world.valued.count)
    for cost, journey in zip(found.costs, journeys, strict=True):
        worth = sale_worth(cost.lattice.resale_shares, timeline)[:, period]
        receipts = worth @ cost.lattice.resale_prices
        total += receipts[journey.owned[period]] / (timeline.at_start[period] * left)
    return total
