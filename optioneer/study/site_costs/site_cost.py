"""The site's part of a package's cost: bought at the order, and bigger later if outgrown."""

import math
from collections.abc import Iterator, Sequence
from itertools import product

import numpy as np

from optioneer.arrays import Floats
from optioneer.study.problem.arrays import Problem
from optioneer.study.ready.step_costs import SiteStep
from optioneer.study.site_costs.site_bills import SiteBills, States
from optioneer.valuation.choice.selection import Limit, cheapest, keeps, undominated_states
from optioneer.valuation.timing.cluster import ClusterCost, World

CHEAPEST_FEW = 4  # states looked at whatever they use


class SiteTerm:
    """What the site adds to the cost of each package.

    Parameters
    ----------
    steps
        Steps whose level depends on the package; none without a site.
    means
        Mean cost of every state under the learned policy, shape (P,) a cluster [money].

    Notes
    -----
    The level of a step is that of the sum over the options ordered: exact, nothing is spread. Later
    retrofits follow the learned policy of each cluster, which does not foresee the step; in every
    future the first period in which the sum passes the level owned pays for the next one, so that
    the cost told is one that is reached by acting so. Hindsight has no such bills; a proof some.
    """

    def __init__(
        self,
        steps: tuple[SiteStep, ...],
        *,
        problem: Problem,
        world: World,
        costs: tuple[ClusterCost, ...],
        means: tuple[Floats, ...],
    ) -> None:
        self.steps = steps
        self.problem, self.world = problem, world
        self.costs, self.means = costs, means
        self.bills = SiteBills(steps, problem=problem, world=world, costs=costs)
        self._costs: dict[States, Floats] = {}
        self._mean_costs: dict[States, float] = {}
        self._kept: dict[int, tuple[Floats, tuple[int, ...]]] = {}

    def paid(self, means: tuple[Floats, ...]) -> "SiteTerm":
        """The same where orders cost otherwise, and all that follows them stays.

        Parameters
        ----------
        means
            As for the term.
        """
        other = SiteTerm(
            self.steps, problem=self.problem, world=self.world, costs=self.costs, means=means
        )
        other.bills, other._costs, other._mean_costs = self.bills, self._costs, self._mean_costs
        return other

    @property
    def uses(self) -> tuple[tuple[Floats, ...], ...]:
        """See `SiteBills.uses`."""
        return self.bills.uses

    def now(self, package: "States") -> float:
        """Present cost of what the order makes necessary, beyond the least [money]."""
        return sum(
            step.levels[step.level(self.bills.total(number, package))].now - step.levels[0].now
            for number, step in enumerate(self.steps)
        )

    def now_beside(self, package: "States", cluster: int) -> Floats:
        """The same for each state of one cluster, the others as in `package`, shape (P,)."""
        total = np.zeros(self.costs[cluster].lattice.size)
        for step, uses in zip(self.steps, self.uses, strict=True):
            others = sum(
                float(use[state])
                for i, (use, state) in enumerate(zip(uses, package, strict=True))
                if i != cluster
            )
            rooms = np.array([level.room + 1e-9 for level in step.levels])
            bought = np.array([level.now for level in step.levels])
            total += bought[np.searchsorted(rooms, others + uses[cluster])] - bought[0]
        return total

    def cost(self, package: "States") -> Floats:
        """Present cost in each future: at the order and later, shape (N,) [money]."""
        if package not in self._costs:
            self._costs[package] = self.now(package) + self.bills.later(package)
        return self._costs[package]

    def mean(self, package: "States") -> float:
        """Mean of the cost over the futures [money]."""
        if package not in self._mean_costs:
            self._mean_costs[package] = float(self.cost(package).mean())
        return self._mean_costs[package]

    def best(self, means: Sequence[Floats], limits: Sequence[Limit]) -> "States | None":
        """The package with the least mean cost, the site's part included.

        Parameters
        ----------
        means
            Mean cost of every state, shape (P,) a cluster; infinite where it may not be chosen.
        limits
            Further limits, such as a budget.

        Returns
        -------
        The package; none when no package keeps the limits.

        Notes
        -----
        For each choice of levels the package that is cheapest within their rooms, later bills left
        out, is found exactly. Where the least of them has later bills, so is the cheapest package
        that the order must buy those levels for, as several options together may be ordered to have
        a supply now that costs more later. The best of them, bills included, is then bettered one
        cluster at a time until no single change helps.
        """
        first = self.least(means, limits)
        if first is None:
            return None
        best = first
        if self._total_mean(means, first) > self._told(means, first) + 1e-9:
            best = self._least_with_bills(means, limits, first)
        return self._bettered(means, limits, best)

    def _told(self, means: Sequence[Floats], package: "States") -> float:
        """What a package costs at least: no later bills."""
        return self._mean(means, package) + self.now(package)

    def _least_with_bills(
        self, means: Sequence[Floats], limits: Sequence[Limit], first: "States"
    ) -> "States":
        """The cheapest of `first` and the best of each choice of levels, later bills included."""
        best, least = first, self._total_mean(means, first)
        alone = sum(float(mean.min()) for mean in means)
        for rows, now in sorted([*self.rooms(), *self._needs()], key=lambda choice: choice[1]):
            if alone + now >= least:  # nor can any that is left be cheaper
                break
            package = cheapest(means, [*limits, *rows])
            # hopeless ones are not lived through
            if package is not None and self._told(means, package) < least:
                best = min(best, package, key=lambda p: self._total_mean(means, p))
                least = self._total_mean(means, best)
        return best

    def least(self, means: Sequence[Floats], limits: Sequence[Limit]) -> "States | None":
        """The package with the least mean cost and site at the order, later bills left out.

        No package costs less than it does so, later bills included. Parameters as for `best`.
        """
        best, least = None, math.inf
        alone = sum(float(mean.min()) for mean in means)
        # What needs less than a choice of levels has been found when its own was looked at.
        for rows, now in sorted(self.rooms(), key=lambda choice: choice[1]):
            if alone + now >= least:
                break
            package = cheapest(means, [*limits, *rows])
            if package is not None and self._told(means, package) < least:
                best, least = package, self._told(means, package)
        return best

    def _needs(self) -> "Iterator[tuple[list[Limit], float]]":
        """For each choice of levels limits that need them, and what they cost now at least."""
        for levels in product(*(range(len(step.levels)) for step in self.steps)):
            needed = [
                Limit([-use for use in uses], -step.levels[level - 1].room - 1e-6)
                for step, uses, level in zip(self.steps, self.uses, levels, strict=True)
                if level > 0
            ]
            if needed:
                now = sum(
                    min(each.now for each in step.levels[level:]) - step.levels[0].now
                    for step, level in zip(self.steps, levels, strict=True)
                )
                yield needed, now

    def _bettered(
        self, means: Sequence[Floats], limits: Sequence[Limit], package: "States"
    ) -> "States":
        while (better := self._best_neighbour(means, limits, package)) is not None:
            package = better
        return package

    def _best_neighbour(
        self, means: Sequence[Floats], limits: Sequence[Limit], package: "States"
    ) -> "States | None":
        """The cheapest package that differs in one cluster; none if none is cheaper.

        Without later bills a cost is a lower bound: those with the least bound are looked at first,
        until no bound that is left is below the best cost found.
        """
        best, least = None, self._total_mean(means, package) - 1e-9
        others = self._neighbours(means, limits, package)
        bounds = [(self._mean(means, other) + self.now(other), other) for other in others]
        for bound, other in sorted(bounds):
            if bound >= least:
                break
            if all(keeps(limit, other) for limit in limits):
                total = self._total_mean(means, other)
                if total < least:
                    best, least = other, total
        return best

    def _neighbours(
        self, means: Sequence[Floats], limits: Sequence[Limit], package: "States"
    ) -> "Iterator[States]":
        """Packages that differ in one cluster, most dominated states left out."""
        rows = [*limits, *(Limit(uses, math.inf) for uses in self.uses)]
        for cluster, state in enumerate(package):
            for other in self._undominated(means, rows, cluster):
                if other != state:
                    yield (*package[:cluster], other, *package[cluster + 1 :])

    def _undominated(
        self, means: Sequence[Floats], rows: Sequence[Limit], cluster: int
    ) -> tuple[int, ...]:
        """`undominated_states` and the cheapest few, kept for the next question: most stay."""
        seen, kept = self._kept.get(cluster, (None, ()))
        if seen is not means[cluster] or len(rows) > len(self.uses):
            # One that another beats may still be better: it may make a later bill less likely.
            near = [
                s for s in means[cluster].argsort()[:CHEAPEST_FEW] if means[cluster][s] < np.inf
            ]
            both = np.union1d(undominated_states(means, rows, cluster), near)
            kept = tuple(int(s) for s in both)
            if len(rows) == len(self.uses) and means[cluster] is self.means[cluster]:
                self._kept[cluster] = means[cluster], kept
        return kept

    def _mean(self, means: Sequence[Floats], package: "States") -> float:
        return sum(float(mean[state]) for mean, state in zip(means, package, strict=True))

    def _total_mean(self, means: Sequence[Floats], package: "States") -> float:
        return self._mean(means, package) + self.mean(package)

    def rooms(self) -> "Iterator[tuple[list[Limit], float]]":
        """For every choice of levels the limits of its rooms, and what it costs now."""
        for levels in product(*(range(len(step.levels)) for step in self.steps)):
            picked = [step.levels[level] for step, level in zip(self.steps, levels, strict=True)]
            now = sum(
                level.now - step.levels[0].now
                for step, level in zip(self.steps, picked, strict=True)
            )
            rows = [
                Limit(self.uses[number], level.room)
                for number, level in enumerate(picked)
                if np.isfinite(level.room)
            ]
            yield rows, now
