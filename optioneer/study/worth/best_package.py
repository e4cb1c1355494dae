"""The best package that can be had."""

import math
from collections.abc import Sequence

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.errors import RequestError
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.affordable import best_affordable, best_affordable_within
from optioneer.study.worth.pursed import Pursed
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.choice.frontier import merged
from optioneer.valuation.choice.selection import Limit
from optioneer.valuation.shared_hours.best_in_mix import Bettering

EQUAL = 0.01
"""Means that differ by less are the same [money]."""


def best_package(
    found: Valued,
    *,
    budget: float | None = None,
    within: tuple[int, Bools] | None = None,
    better: bool = True,
) -> States:
    """The orderable package with the least mean NPC, of several that have it one that is cheaper.

    Parameters
    ----------
    budget
        Limit on the price, if any [money].
    within
        A cluster and the states that it may take, if not all.
    better
        Whether to go on from the best at the price of an hour, where clusters share hours.

    Raises
    ------
    RequestError
        If no package can be had within the budget.
    """
    if isinstance(found, Pursed):
        return _best_with_purse(found, budget, within)
    means = list(found.means)
    if within is not None:
        cluster, allowed = within
        means[cluster] = np.where(allowed, means[cluster], np.inf)
    first = _best_on_site if found.site.steps else cheapest_package
    chosen = first(found, means, budget=budget)
    improve = better and found.mix.any_tied
    best = bettering(found, means, budget).bettered(chosen) if improve else chosen
    return _cheaper_of_equals(found, means, best)


def _cheaper_of_equals(found: Valued, means: Sequence[Floats], best: States) -> States:
    """A package that costs as much, to the cent, and less now: what is not spent is still there."""
    for cluster, (mean, price) in enumerate(zip(means, found.prices, strict=True)):
        here = best[cluster]
        equal = (np.abs(mean - mean[here]) < EQUAL) & (price < price[here] - EQUAL)
        for state in sorted(np.flatnonzero(equal), key=lambda one: float(price[one])):
            other = (*best[:cluster], int(state), *best[cluster + 1 :])
            if abs(float(found.beyond(other, best).mean())) < EQUAL:
                best = other
                break
    return best


def _best_with_purse(
    found: Pursed, budget: float | None, within: tuple[int, Bools] | None
) -> States:
    left = math.inf if budget is None else beyond_base(found, budget)
    best = best_affordable(found, best_package(found.free, budget=budget), left)
    if within is None:
        return best
    free = best_package(found.free, budget=budget, within=within, better=False)
    return best_affordable_within(found, (free, best), left, within)


def dearest_package(found: Valued) -> States:
    """The package with the highest price that can be ordered."""
    return tuple(
        int(np.where(np.isfinite(price), price, -np.inf).argmax()) for price in found.prices
    )


def bettering(found: Valued, means: list[Floats], budget: float | None) -> Bettering:
    """What tells packages apart in the real mix of work; site and budget included."""
    site = found.site

    def later(package: States) -> float:
        """Mean of the bigger works that retrofits make necessary [money]."""
        return site.mean(package) - site.now(package)

    return Bettering(found.mix, means, site.now, later, price_limits(found, budget))


def _best_on_site(found: Valued, means: list[Floats], *, budget: float | None) -> States:
    """The same where the site adds step costs that options share."""
    chosen = found.site.best(means, price_limits(found, budget))
    if chosen is None:
        # Without the site the same limits say what the cheapest package would be.
        return cheapest_package(found, means, budget=budget)
    return chosen


def price_limits(found: Valued, budget: float | None) -> list[Limit]:
    """The budget as a limit on a sum over the clusters; none without a budget."""
    return [] if budget is None else [Limit(found.prices, beyond_base(found, budget))]


def least_package(found: Valued, costs: Sequence[Floats], *, budget: float | None) -> States:
    """The package with the least sum of `costs` and site at the order, bills later left out.

    Parameters and exceptions as for `cheapest_package`.
    """
    if found.site.steps:
        chosen = found.site.least(costs, price_limits(found, budget))
        if chosen is not None:
            return chosen
    return cheapest_package(found, costs, budget=budget)


def cheapest_package(found: Valued, costs: Sequence[Floats], *, budget: float | None) -> States:
    """The package within the budget with the least sum of `costs`, the site's part left out.

    Parameters
    ----------
    found
        The valued case, for its prices.
    costs
        Shape (P,) a cluster [money]; infinite where a state may not be chosen.
    budget
        Limit on the price, if any [money].

    Raises
    ------
    RequestError
        If no package can be had within the budget.
    """
    if budget is None:
        return tuple(int(cost.argmin()) for cost in costs)
    prices = [
        np.where(np.isfinite(cost), price, np.inf)
        for cost, price in zip(costs, found.prices, strict=True)
    ]
    frontier = merged(prices, costs)
    affordable = np.flatnonzero(frontier.price <= beyond_base(found, budget))
    if not len(affordable):
        least = found.case.machine.base_price + float(frontier.price.min(initial=math.inf))
        raise RequestError(
            f"--budget {budget:,.2f} is below the cheapest package, which costs {least:,.2f}."
        )
    return tuple(int(state) for state in frontier.states[affordable[-1]])


def least_elsewhere(found: Valued, cluster: int, *, budget: float | None) -> Floats:
    """Least mean cost of all other clusters beside each state of one, shape (P,) [money].

    Parameters
    ----------
    cluster
        The one.
    budget
        Limit on the price of everything, if any [money]; infinite where a state leaves too little
        of it for the others.
    """
    means = [mean for i, mean in enumerate(found.means) if i != cluster]
    price = found.prices[cluster]
    if budget is None:
        return np.full(len(price), sum(float(mean.min()) for mean in means))
    frontier = merged([p for i, p in enumerate(found.prices) if i != cluster], means)
    left = beyond_base(found, budget) - np.where(np.isfinite(price), price, np.inf)
    affordable = np.searchsorted(frontier.price, left, side="right")
    return np.append(np.inf, frontier.cost)[affordable]


def beyond_base(found: Valued, budget: float) -> float:
    """What `budget` leaves for options, with half a cent for rounding [money]."""
    return budget - found.case.machine.base_price + 0.005
