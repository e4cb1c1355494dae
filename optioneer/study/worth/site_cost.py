"""The site's part of a package's cost: bought at the order, and bigger later if outgrown."""

import math
from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats, Ints
from optioneer.study.problem.arrays import Problem
from optioneer.study.ready.step_costs import SiteStep
from optioneer.valuation.cache.paths import path
from optioneer.valuation.choice.selection import Limit, cheapest, keeps, undominated_states
from optioneer.valuation.large.short_list import Listed
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.timing.cluster import ClusterCost, World, journey_of_state
from optioneer.valuation.timing.journey import Journey

States = tuple[int, ...]
"""A package: one state a cluster."""

CHEAPEST_FEW = 4  # states looked at whatever they use


class SiteTerm:
    """What the site adds to the cost of each package.

    Parameters
    ----------
    steps
        Steps whose level depends on the package; none without a site.
    problem, world
        The case as arrays, and the futures.
    costs
        What the packages of each cluster cost.
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
        self._journeys: dict[tuple[int, int], Journey] = {}
        self._paths: dict[tuple[int, int], NDArray[Any]] = {}
        self._costs: dict[States, Floats] = {}
        self._reaches: dict[tuple[int, int, int], tuple[float, float]] = {}
        self._series: dict[tuple[int, int, int], Floats] = {}
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
        other._journeys, other._costs = self._journeys, self._costs
        other._reaches, other._series = self._reaches, self._series
        other._paths = self._paths
        return other

    @cached_property
    def uses(self) -> tuple[tuple[Floats, ...], ...]:
        """By step and cluster, what each state adds to the step's sum, shape (P,)."""
        return tuple(
            tuple(self._state_uses(step, cost.lattice) for cost in self.costs)
            for step in self.steps
        )

    def _state_uses(self, step: SiteStep, lattice: Lattice) -> Floats:
        total = np.zeros(lattice.size)
        for axis, level in enumerate(lattice.levels):
            total += self.level_uses(step, lattice, axis)[level]
        return total

    def level_uses(self, step: SiteStep, lattice: Lattice, axis: int) -> Floats:
        """What each level of a slot adds to a step's sum, shape (levels,)."""
        slot, names = lattice.names[axis], self.problem.options
        fitted = lattice.fitted[axis]
        return np.array([step.counted(slot, _use(step, names, option)) for option in fitted])

    def in_time(self, number: int, cluster: int, state: int) -> Floats:
        """What a cluster adds in each period, (T, N); one figure where no retrofit changes it."""
        low, high = self._reach(number, cluster, state)
        return np.asarray(low) if low == high else self._uses_in_time(number, cluster, state)

    def now(self, package: "States") -> float:
        """Present cost of what the order makes necessary, beyond the least [money]."""
        return sum(
            step.levels[step.level(self._total(number, package))].now - step.levels[0].now
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

    def _total(self, number: int, package: "States") -> float:
        return sum(float(use[state]) for use, state in zip(self.uses[number], package, strict=True))

    def cost(self, package: "States") -> Floats:
        """Present cost in each future: at the order and later, shape (N,) [money]."""
        if package not in self._costs:
            later = np.zeros(self.world.valued.count)
            for number in range(len(self.steps)):
                if self._outgrown(number, package):
                    later += self._later(number, package)
            self._costs[package] = self.now(package) + later
        return self._costs[package]

    def _outgrown(self, number: int, package: "States") -> bool:
        """Whether retrofits could pass the level that the order buys."""
        step, total = self.steps[number], 0.0
        for cluster, state in enumerate(package):
            total += self._reach(number, cluster, state)[1]
        return total > step.levels[step.level(self._total(number, package))].room + 1e-9

    def _reach(self, number: int, cluster: int, state: int) -> tuple[float, float]:
        """Least and most that a cluster can add to a step's sum once retrofits are made."""
        key = number, cluster, state
        if key not in self._reaches:
            self._reaches[key] = self._reach_of(number, cluster, state)
        return self._reaches[key]

    def _reach_of(self, number: int, cluster: int, state: int) -> tuple[float, float]:
        lattice, names = self.costs[cluster].lattice, self.problem.options
        if not isinstance(lattice, Listed):
            part, states = lattice.reachable(state)
            uses = self.uses[number][cluster][states[part.valid]]
            return float(uses.min()), float(uses.max())
        held = [{int(level)} for level in lattice.levels[:, state]]
        for target in lattice.targets:
            held[target.axis].add(target.level)
        step = self.steps[number]
        counted = [
            [step.counted(slot, _use(step, names, fitted[level])) for level in levels]
            for slot, fitted, levels in zip(lattice.names, lattice.fitted, held, strict=True)
        ]
        return sum(map(min, counted)), sum(map(max, counted))

    def _later(self, number: int, package: "States") -> Floats:
        """Bills of one step after the order, discounted, shape (N,)."""
        step, timeline = self.steps[number], self.problem.timeline
        total = np.zeros((timeline.periods, self.world.valued.count))
        for cluster, state in enumerate(package):
            total += self.in_time(number, cluster, state)
        rooms = np.array([level.room + 1e-9 for level in step.levels])
        first = step.level(self._total(number, package))
        outgrown = np.flatnonzero(total.max(axis=0) > rooms[first])
        owned = np.full((timeline.periods, len(outgrown)), first)
        for level, room in enumerate(rooms[:-1], 1):
            owned[1:][total[1:, outgrown] > room] = max(level, first)
        np.maximum.accumulate(owned, axis=0, out=owned)
        period, column = np.nonzero(owned[1:] > owned[:-1])
        needed = owned[period + 1, column]
        later = np.array([level.later for level in step.levels])
        downtime = np.array([level.downtime for level in step.levels])
        paid = timeline.retrofit_level[period + 1] * later[needed] + downtime[needed]
        paid = timeline.at_start[period + 1] * paid
        bill = np.bincount(outgrown[column], weights=paid, minlength=total.shape[1])
        return np.asarray(bill, dtype=np.float64)

    def _uses_in_time(self, number: int, cluster: int, state: int) -> Floats:
        """What a cluster adds to a step's sum in each period, shape (T, N)."""
        moves, key = self.costs[cluster].moves, (number, cluster, state)
        if moves is not None:
            if (cluster, state) not in self._paths:
                self._paths[cluster, state] = path(moves, state, self._stay)
            return np.asarray(self.uses[number][cluster][self._paths[cluster, state]])
        if key not in self._series:
            self._series[key] = self._series_lived(number, cluster, state)
        return self._series[key]

    @cached_property
    def _stay(self) -> Ints:
        """Period at whose start the machine is sold, T at the horizon, shape (N,)."""
        futures, periods = self.world.valued, self.problem.timeline.periods
        return futures.stay if futures.stay.size else np.full(futures.count, periods, np.int32)

    def _series_lived(self, number: int, cluster: int, state: int) -> Floats:
        lattice, names = self.costs[cluster].lattice, self.problem.options
        step, journey = self.steps[number], self._lived(cluster, state)
        periods = np.arange(self.problem.timeline.periods)[:, None]
        total = np.zeros((len(periods), self.world.valued.count))
        for axis, fitted in enumerate(lattice.fitted):
            slot, ordered = lattice.names[axis], fitted[lattice.levels[axis, state]]
            use = np.full(total.shape, step.counted(slot, _use(step, names, ordered)))
            latest = np.full(total.shape, -1)
            for target, since in zip(lattice.targets, journey.fitted_in, strict=True):
                # Of several retrofits of a slot the latest one holds.
                there = (target.axis == axis) & (since <= periods) & (since > latest)
                use[there] = step.counted(slot, _use(step, names, target.option))
                latest = np.where(there, since, latest)
            total += use
        return total

    def knows(self, package: "States", journeys: Sequence[Journey]) -> None:
        """Tell what is known already of what happens to `package`, cluster by cluster."""
        self._journeys |= {
            (cluster, state): journey
            for cluster, (state, journey) in enumerate(zip(package, journeys, strict=True))
        }

    def _lived(self, cluster: int, state: int) -> Journey:
        if (cluster, state) not in self._journeys:
            cost = self.costs[cluster]
            self._journeys[cluster, state] = journey_of_state(self.world, cost, state, map)
        return self._journeys[cluster, state]

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
        return self._mean(means, package) + float(self.cost(package).mean())

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


def _use(step: SiteStep, names: Sequence[str], option: int) -> float:
    return step.uses.get(names[option], 0.0) if option >= 0 else 0.0
