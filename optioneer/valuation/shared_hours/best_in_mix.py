"""Choosing a package when clusters share hours: near the best at their price, in the real mix."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.valuation.choice.selection import Limit, keeps
from optioneer.valuation.shared_hours.real_mix import MixTerm

TRIED, NEAR = 3, 2
"""States of each cluster that are tried in the real mix of work, cheapest at its price first: while
the best package is looked for, and when one cluster has to choose otherwise."""

CENT = 0.01
"""Smaller savings are none [money]."""

States = tuple[int, ...]
"""A package: one state a cluster."""


@dataclass(frozen=True)
class Bettering:
    """What is needed to tell which of several packages costs least in the real mix.

    Parameters
    ----------
    means
        Mean cost of each state at that price, shape (P,) a cluster [money].
    beside
        What else a package costs with the order [money].
    later
        Mean of what else it costs later, 0 or more: it takes long to work out [money].
    limits
        Limits that it has to keep.
    """

    mix: MixTerm
    means: Sequence[Floats]
    beside: Callable[[States], float]
    later: Callable[[States], float]
    limits: Sequence[Limit]

    def apart(self, package: States) -> float:
        """The least that it costs: hours paid at their price, nothing else later [money]."""
        pairs = zip(self.means, package, strict=True)
        return sum(float(mean[state]) for mean, state in pairs) + self.beside(package)

    def total(self, package: States) -> float:
        """Mean cost in the real mix of work, what is constant left out [money]."""
        return self.apart(package) + self.mix.mean(package) + self.later(package)

    def least(self, packages: Iterable[States], below: float) -> tuple[float, States] | None:
        """The cheapest of some packages, and what it costs; none where none costs less.

        What is quickly worked out is so first: of most that is more than the least so far.
        """
        best = None
        for apart, package in sorted((self.apart(package), package) for package in packages):
            if apart >= below:
                break
            cost = apart + self.mix.mean(package)
            if cost < below and (cost := cost + self.later(package)) < below:
                best, below = (cost, package), cost
        return best

    def bettered(self, package: States) -> States:
        """A package that no change of one cluster betters.

        At the price of an hour a package costs no more than it does, so that only what is cheaper
        there than the best so far can be better; of these the few cheapest of each cluster are
        tried.
        """
        cost = self.total(package)
        while True:
            near = (
                other
                for cluster in self.mix.tied_clusters
                for other in self.near(package, cluster, TRIED)
            )
            better = self.least(near, cost - CENT)
            if better is None:
                return package
            cost, package = better

    def otherwise(self, chosen: States, best: States, within: tuple[int, Bools]) -> States:
        """The best package that keeps a cluster to some states.

        Parameters
        ----------
        chosen
            The best package of all.
        best
            The best that keeps to them at the price of an hour.
        within
            The cluster and its states, shape (P,).
        """
        cluster, allowed = within
        means = [
            np.where(allowed, mean, np.inf) if i == cluster else mean
            for i, mean in enumerate(self.means)
        ]
        near = replace(self, means=means).near(chosen, cluster, NEAR)
        return min([best, *near], key=self.total)

    def near(self, package: States, cluster: int, count: int) -> list[States]:
        """Packages that differ in one cluster: the cheapest of so many states, within limits."""
        states = self.means[cluster].argsort()[:count]
        near = (
            (*package[:cluster], int(state), *package[cluster + 1 :])
            for state in states
            if state != package[cluster] and np.isfinite(self.means[cluster][state])
        )
        return [other for other in near if all(keeps(limit, other) for limit in self.limits)]
