"""What packages add to each step of a site, and what outgrowing it later costs."""

from collections.abc import Sequence
from functools import cached_property
from operator import getitem
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats, Indices, Ints
from optioneer.study.problem.arrays import Problem
from optioneer.study.ready.step_costs import SiteStep
from optioneer.valuation.cache.lives import journey_from_moves
from optioneer.valuation.cache.paths import path
from optioneer.valuation.large.short_list import Listed
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.timing.cluster import ClusterCost, World
from optioneer.valuation.timing.journey import Journey

States = tuple[int, ...]
"""A package: one state a cluster."""

StepPlace = tuple[int, int, int]
"""A step, a cluster and a state of it."""


class Rises(NamedTuple):
    """What retrofits change in a step's sum, future after future and in each by time.

    Parameters
    ----------
    moment
        Future x number of periods + period, rising, shape (n,).
    adds
        What is more from that period on, shape (n,).
    """

    moment: Indices
    adds: Floats


class SumChanges(NamedTuple):
    """Dates at which a step's sum changes, future after future and in each by time.

    Parameters
    ----------
    future, period
        Where and when, shape (n,) each.
    begins
        Places at which another future begins.
    """

    future: Indices
    period: Indices
    begins: Indices

    def summed(self, added: Floats) -> Floats:
        """What is added by each date in its future, shape (n,), from what is added at it."""
        total, here = added.copy(), self.begins
        ends = np.append(self.begins[1:], len(added))
        while len(here):
            going = here + 1 < ends
            here, ends = here[going] + 1, ends[going]
            total[here] += total[here - 1]
        return total


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
        self._moved: dict[tuple[int, int], tuple[Indices, Indices, Indices]] = {}
        self._reaches: dict[StepPlace, tuple[float, float]] = {}
        self._rises: dict[StepPlace, Rises] = {}
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

    def rise(self, number: int, cluster: int, state: int) -> float:
        """What retrofits add to a step's sum by the end, on average."""
        return float(self.rises(number, cluster, state).adds.sum() / self.world.valued.count)

    def total(self, number: int, package: States) -> float:
        """A step's sum as ordered."""
        return sum(map(getitem, self._listed_uses[number], package))

    @cached_property
    def _listed_uses(self) -> tuple[tuple[list[float], ...], ...]:
        """The same as `uses` as plain numbers, which are added up quicker."""
        return tuple(tuple(use.tolist() for use in uses) for uses in self.uses)

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
            uses = self.uses[number][cluster][lattice.reachable_states(state)]
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
        first = step.level(self.total(number, package))
        changes, total = self._sums(number, package)
        rooms = [level.room + 1e-9 for level in step.levels[:-1]]
        level = np.maximum(np.searchsorted(rooms, total), first)
        # What is owned stays: of several futures one after the other each begins above the last.
        floor = changes.future * len(step.levels)
        level = np.maximum.accumulate(floor + level) - floor
        before = np.append(first, level[:-1])
        before[changes.begins] = first
        bought = np.flatnonzero(level > before)
        needed, when = level[bought], changes.period[bought]
        later = np.array([each.later for each in step.levels])
        downtime = np.array([each.downtime for each in step.levels])
        paid = timeline.retrofit_level[when] * later[needed] + downtime[needed]
        paid = timeline.at_start[when] * paid
        count = self.world.valued.count
        bill = np.bincount(changes.future[bought], weights=paid, minlength=count)
        return np.asarray(bill, dtype=np.float64)

    def _sums(self, number: int, package: States) -> tuple[SumChanges, Floats]:
        """When a step's sum changes, and what it is from then on, shape (n,)."""
        every = [self.rises(number, cluster, state) for cluster, state in enumerate(package)]
        moment = np.concatenate([each.moment for each in every])
        order = moment.argsort(kind="stable")  # merges what is in order by parts
        adds, moment = np.concatenate([each.adds for each in every])[order], moment[order]
        dates = np.flatnonzero(np.diff(moment, prepend=-1))
        begun, periods = moment[dates], self.problem.timeline.periods
        future = begun // periods
        period = begun - future * periods
        changes = SumChanges(future, period, np.flatnonzero(np.diff(future, prepend=-1)))
        added = np.add.reduceat(adds, dates) if len(adds) else adds
        return changes, self.total(number, package) + changes.summed(added)

    def rises(self, number: int, cluster: int, state: int) -> Rises:
        """What retrofits of a cluster change in a step's sum when a state of it is ordered."""
        key = number, cluster, state
        if key not in self._rises:
            low, high = self._reach(number, cluster, state)
            none = Rises(np.empty(0, dtype=np.intp), np.empty(0))
            self._rises[key] = none if low == high else self._risen(number, cluster, state)
        return self._rises[key]

    def _risen(self, number: int, cluster: int, state: int) -> Rises:
        path = self._path(cluster, state)
        if path is None:
            series = self._series_lived(number, cluster, state)
            moment = _moments(series)
            adds = np.diff(series, axis=0, prepend=series[:1]).T.ravel()[moment]
            return Rises(moment, adds)
        if (cluster, state) not in self._moved:
            moment = _moments(path)
            column = moment // len(path)
            period = moment - column * len(path)
            self._moved[cluster, state] = moment, path[period - 1, column], path[period, column]
        own, (moment, before, after) = self.uses[number][cluster], self._moved[cluster, state]
        adds = own[after] - own[before]
        counts = adds != 0.0
        return Rises(moment[counts], adds[counts])

    def _path(self, cluster: int, state: int) -> NDArray[Any] | None:
        """State after the moves of each period, shape (T, N); none of what has no lattice."""
        moves = self.costs[cluster].moves
        if moves is not None and (cluster, state) not in self._journeys:
            return path(moves, state, self._stay)
        lived = self._lived(cluster, state)
        return np.concatenate([lived.owned[1:], lived.ended[None]]) if lived.owned.size else None

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
            self._journeys[cluster, state] = journey_from_moves(self.world, cost, state, map)
        return self._journeys[cluster, state]


def _moments(series: NDArray[Any]) -> Indices:
    """Where (T, N) differs from the period before, as numbers future x T + period, rising."""
    by_future = np.ascontiguousarray(series.T)
    change = np.flatnonzero(by_future[:, 1:] != by_future[:, :-1])
    # Of a future there is one change less than periods.
    return np.asarray(change + change // max(len(series) - 1, 1) + 1)


def _use(step: SiteStep, names: Sequence[str], option: int) -> float:
    return step.uses.get(names[option], 0.0) if option >= 0 else 0.0
