"""What packages add to each step of a site, and what outgrowing it later costs."""

from collections.abc import Sequence
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats, Indices, Ints
from optioneer.study.problem.arrays import Problem
from optioneer.study.ready.step_costs import SiteStep
from optioneer.valuation.cache.lives import relived
from optioneer.valuation.cache.paths import path
from optioneer.valuation.large.short_list import Listed
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.timing.cluster import ClusterCost, World
from optioneer.valuation.timing.journey import Journey

States = tuple[int, ...]
"""A package: one state a cluster."""

StepPlace = tuple[int, int, int]
"""A step, a cluster and a state of it."""

EVERY = slice(None)
"""All futures."""


class SiteBills:
    """What packages add to each step in time, each worked out once.

    Parameters
    ----------
    steps
        Steps whose level depends on the package.
    """

    def __init__(
        self,
        steps: tuple[SiteStep, ...],
        *,
        problem: Problem,
        world: World,
        costs: tuple[ClusterCost, ...],
    ) -> None:
        self.steps, self.problem, self.world, self.costs = steps, problem, world, costs
        self._journeys: dict[tuple[int, int], Journey] = {}
        self._paths: dict[tuple[int, int], NDArray[Any]] = {}
        self._reaches: dict[StepPlace, tuple[float, float]] = {}
        self._series: dict[StepPlace, Floats] = {}
        self._peaks: dict[StepPlace, Floats] = {}
        self._billed: dict[tuple[int, tuple[float | tuple[int, int], ...]], Floats] = {}

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

    def in_time(
        self, number: int, cluster: int, state: int, columns: Indices | slice = EVERY
    ) -> Floats:
        """What a cluster adds in each period, (T, N); one figure where no retrofit changes it.

        `columns` are the futures, if not all.
        """
        low, high = self._reach(number, cluster, state)
        fixed = low == high
        return np.asarray(low) if fixed else self._uses_in_time(number, cluster, state, columns)

    def total(self, number: int, package: States) -> float:
        """A step's sum as ordered."""
        return sum(float(use[state]) for use, state in zip(self.uses[number], package, strict=True))

    def later(self, package: States) -> Floats:
        """Present cost in each future of what is outgrown after the order, shape (N,) [money]."""
        later = np.zeros(self.world.valued.count)
        for number in range(len(self.steps)):
            if self._outgrown(number, package):
                later += self._bills(number, package)
        return later

    def _outgrown(self, number: int, package: States) -> bool:
        """Whether retrofits could pass the level that the order buys."""
        step, total = self.steps[number], 0.0
        for cluster, state in enumerate(package):
            total += self._reach(number, cluster, state)[1]
        return total > step.levels[step.level(self.total(number, package))].room + 1e-9

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

    def _bills(self, number: int, package: States) -> Floats:
        """Bills of one step; packages that add alike to it at all times have the same ones."""
        alike = tuple(self._alike(number, cluster, s) for cluster, s in enumerate(package))
        if (number, alike) not in self._billed:
            self._billed[number, alike] = self._later(number, package)
        return self._billed[number, alike]

    def _alike(self, number: int, cluster: int, state: int) -> float | tuple[int, int]:
        """The same for two states of a cluster only if both always add the same to a step."""
        low, high = self._reach(number, cluster, state)
        return low if low == high else (cluster, state)

    def _later(self, number: int, package: States) -> Floats:
        """Bills of one step after the order, discounted, shape (N,)."""
        step, timeline = self.steps[number], self.problem.timeline
        rooms = np.array([level.room + 1e-9 for level in step.levels])
        first = step.level(self.total(number, package))
        bill = np.zeros(self.world.valued.count)
        # Summed in the same order: no sum of the highest is below the highest sum.
        columns = np.flatnonzero(self._highest(number, package) > rooms[first])
        if not len(columns):
            return bill
        total = self._sum_in_time(number, package, columns)
        owned = np.full(total.shape, first, dtype=np.int8)
        for level, room in enumerate(rooms[:-1], 1):
            owned[1:][total[1:] > room] = max(level, first)
        np.maximum.accumulate(owned, axis=0, out=owned)
        period, column = np.nonzero(owned[1:] > owned[:-1])
        needed = owned[period + 1, column]
        later = np.array([level.later for level in step.levels])
        downtime = np.array([level.downtime for level in step.levels])
        paid = timeline.retrofit_level[period + 1] * later[needed] + downtime[needed]
        paid = timeline.at_start[period + 1] * paid
        bill[columns] = np.bincount(column, weights=paid, minlength=len(columns))
        return bill

    def _highest(self, number: int, package: States) -> Floats:
        """Sum of the most that each cluster adds to a step's sum in any period, shape (N,)."""
        total = np.zeros(self.world.valued.count)
        for cluster, state in enumerate(package):
            key = number, cluster, state
            if key not in self._peaks:
                series = self.in_time(number, cluster, state)
                self._peaks[key] = series.max(axis=0) if series.ndim else series
            total += self._peaks[key]
        return total

    def _sum_in_time(self, number: int, package: States, columns: Indices) -> Floats:
        """A step's sum in each period of some futures, shape (T, columns)."""
        total = np.zeros((self.problem.timeline.periods, len(columns)))
        for cluster, state in enumerate(package):
            total += self.in_time(number, cluster, state, columns)
        return total

    def _uses_in_time(
        self, number: int, cluster: int, state: int, columns: Indices | slice
    ) -> Floats:
        """What a cluster adds to a step's sum in each period, shape (T, columns)."""
        moves, key = self.costs[cluster].moves, (number, cluster, state)
        if moves is not None:
            if (cluster, state) not in self._paths:
                self._paths[cluster, state] = path(moves, state, self._stay)
            own = self.uses[number][cluster]
            return np.asarray(own.take(self._paths[cluster, state][:, columns]))
        if key not in self._series:
            self._series[key] = self._series_lived(number, cluster, state)
        return self._series[key][:, columns]

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

    def knows(self, package: States, journeys: Sequence[Journey]) -> None:
        """Tell what is known already of what happens to `package`, cluster by cluster."""
        self._journeys |= {
            (cluster, state): journey
            for cluster, (state, journey) in enumerate(zip(package, journeys, strict=True))
        }

    def _lived(self, cluster: int, state: int) -> Journey:
        if (cluster, state) not in self._journeys:
            cost = self.costs[cluster]
            self._journeys[cluster, state] = relived(self.world, cost, state, map)
        return self._journeys[cluster, state]


def _use(step: SiteStep, names: Sequence[str], option: int) -> float:
    return step.uses.get(names[option], 0.0) if option >= 0 else 0.0
