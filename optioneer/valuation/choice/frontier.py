"""The best packages by price: points of independent clusters merged."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats

MOST_POINTS = 50_000
"""Points kept while merging; beyond it those that gain least are thinned out."""


def undominated(price: Floats, cost: Floats) -> NDArray[np.intp]:
    """Indices of the points that no cheaper or equally dear one beats, by rising price.

    Parameters
    ----------
    price, cost
        Shape (n,) [money]; infinite prices are left out.
    """
    order = np.lexsort((cost, price))
    order = order[np.isfinite(price[order])]
    best_before = np.minimum.accumulate(np.append(np.inf, cost[order]))[:-1]
    kept: NDArray[np.intp] = order[cost[order] < best_before]
    return kept


@dataclass(frozen=True)
class Frontier:
    """Packages that no cheaper or equally dear one beats, by rising price and falling cost.

    Parameters
    ----------
    price, cost
        Shape (points,) [money].
    states
        State of each cluster, shape (points, clusters).
    within
        The best package of any price costs at most this much less than the best point at or below
        that price [money]; 0 unless points were thinned out.
    """

    price: Floats
    cost: Floats
    states: NDArray[np.intp]
    within: float = 0.0

    def thinned(self, most: int) -> "Frontier":
        """At most `most` points, first and last included; the least gains are dropped."""
        count = len(self.price)
        if count <= most:
            return self
        step, kept = 0.0, np.arange(count)
        while len(kept) > most:
            step = max(2.0 * step, float(self.cost[0] - self.cost[-1]) / count)
            kept = _apart(self.cost, step)
        return Frontier(self.price[kept], self.cost[kept], self.states[kept], self.within + step)


def _apart(cost: Floats, step: float) -> NDArray[np.intp]:
    """Indices of falling costs at least `step` apart, the first and the last among them."""
    kept = [0]
    for i in range(1, len(cost) - 1):
        if cost[i] <= cost[kept[-1]] - step:
            kept.append(i)
    return np.array([*kept, len(cost) - 1], dtype=np.intp)


def merged(prices: Sequence[Floats], costs: Sequence[Floats], most: int = MOST_POINTS) -> Frontier:
    """The frontier over all combinations of one state a cluster.

    Parameters
    ----------
    prices, costs
        One array of shape (P,) a cluster [money]; infinite prices cannot be had.
    most
        Points kept between clusters; what thinning them out may cost is told by `within`.
    """
    found = Frontier(np.zeros(1), np.zeros(1), np.empty((1, 0), dtype=np.intp))
    for own_price, own_cost in zip(prices, costs, strict=True):
        own = undominated(own_price, own_cost)
        price = (found.price[:, None] + own_price[own]).ravel()
        cost = (found.cost[:, None] + own_cost[own]).ravel()
        kept = undominated(price, cost)
        before, state = np.divmod(kept, max(len(own), 1))
        states = np.column_stack([found.states[before], own[state]])
        found = Frontier(price[kept], cost[kept], states, found.within).thinned(most)
    return found
