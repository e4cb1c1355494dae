"""Choosing a package when clusters share hours: near the best at their price, in the real mix."""

from collections.abc import Callable, Sequence
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
        What else a package costs on average [money].
    limits
        Limits that it has to keep.
    """

    mix: MixTerm
    means: Sequence[Floats]
    beside: Callable[[States], float]
    limits: Sequence[Limit]

    def apart(self, package: States) -> float:
        """Mean cost with hours paid at their price, what is constant left out [money]."""
        pairs = zip(self.means, package, strict=True)
        return sum(float(mean[state]) for mean, state in pairs) + self.beside(package)

    def total(self, package: States) -> float:
        """The same with the real mix of work."""
        return self.apart(package) + self.mix.mean(package)

    def bettered(self, package: States) -> States:
        """A package that no change of one cluster betters.

        At the price of an hour a package costs no more than it does, so that only what is cheaper
        there than the best so far can be better; of these the few cheapest of each cluster are
        tried.
        """
        least = self.total(package)
        while True:
            near = (
                other for cluster in self.mix.tied for other in self.near(package, cluster, TRIED)
            )
            able = [other for other in near if self.apart(other) < least]
            best = min(able, key=self.total, default=package)
            if self.total(best) >= least - CENT:
                return package
            package, least = best, self.total(best)

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
