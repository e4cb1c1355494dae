"""The least that anyone could reach knowing the future, where a budget limits the price."""

from collections.abc import Sequence

import numpy as np

from optioneer.arrays import Floats
from optioneer.study.problem.cores import by_size
from optioneer.study.worth.best_package import beyond_base
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.cache.swept import remembered_foresight
from optioneer.valuation.choice.frontier import merged
from optioneer.valuation.large.short_list import Appraisal, Listed

MOST_FUTURES = 4096
"""Futures in which packages are chosen anew at most; each stands for those that follow it."""


def added_by_budget(found: Valued, budget: float) -> Floats:
    """What a budget adds to the least cost with the future known, shape (N,) [money].

    Parameters
    ----------
    budget
        Limit on the price [money].

    Notes
    -----
    Nothing where the best package of a future can be had for the budget. In the others the best
    one within it is found exactly, over all combinations of what the clusters hold; where they are
    more than 4,096, in evenly spaced ones of them. As in the bound without a budget the site's part
    is left out.
    """
    costs, left = (
        [_foresight(found, i) for i in range(len(found.costs))],
        beyond_base(found, budget),
    )
    best = [_best_states(cost, price) for cost, price in zip(costs, found.prices, strict=True)]
    pairs = zip(found.prices, best, strict=True)
    dear = np.sum([price[states] for price, states in pairs], axis=0)
    over = np.flatnonzero(dear > left)
    step = max(-(-len(over) // MOST_FUTURES), 1)
    added = np.zeros(found.world.valued.count)
    some = [
        _cost_of_limit(found.prices, [cost[:, n] for cost in costs], left) for n in over[::step]
    ]
    added[over] = np.repeat(some, step)[: len(over)]
    return added


def _foresight(found: Valued, cluster: int) -> Floats:
    """Cost of each state with the future known, order included, shape (P, N) [money]."""
    lattice = found.costs[cluster].lattice
    if isinstance(lattice, Listed):
        look = Appraisal(lattice.terms, found.world, map)
        worths = (look.worth(package, only="hindsight") for package in lattice.packages)
        return np.array([worth.hindsight for worth in worths])
    with by_size() as run:
        mapper = run(lattice.size * found.world.valued.count)
        return remembered_foresight(found.world, lattice, mapper)


def _best_states(cost: Floats, price: Floats) -> np.ndarray[tuple[int, ...], np.dtype[np.intp]]:
    """The best state in each future, of equal ones the cheapest, shape (N,)."""
    order = np.argsort(price, kind="stable")
    return np.asarray(order[cost[order].argmin(axis=0)])


def _cost_of_limit(prices: Sequence[Floats], costs: Sequence[Floats], left: float) -> float:
    """What keeping to a price adds to the least sum of costs in one future [money]."""
    able = [
        np.where(np.isfinite(cost), price, np.inf)
        for price, cost in zip(prices, costs, strict=True)
    ]
    frontier = merged(able, costs)
    within = int(np.searchsorted(frontier.price, left, side="right")) - 1
    return float(frontier.cost[within] - frontier.cost[-1])
