"""One state a cluster whose cost is least when the worst futures weigh more.

The cost of a choice is ``(1-w) mean + w CVaR``: its average, and with weight w the average of its
worst share of futures. The latter does not add up over clusters, but every density that weighs
futures within the bounds below gives a sum over clusters that is never above it, and the density of
the choice itself gives it exactly. So the choice that is best under the weighings found so far
bounds the least cost from below, its own weighing is added, and so on until both meet.

References
----------
Rockafellar & Uryasev, Journal of Risk 2 (2000) 21-41: the tail mean as a minimum. Artzner, Delbaen,
Eber & Heath, Mathematical Finance 9 (1999) 203-228: as the dearest of a set of weighings (from
memory). Kelley, Journal of SIAM 8 (1960) 703-712: cutting planes (from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.choice.attitude import Attitude
from optioneer.valuation.choice.selection import Limit, keeps

CLOSE_ENOUGH = 0.01
"""Gap below which a choice is proven best [money]."""

MOST_ROUNDS = 100
"""Weighings added in the search for one choice, at most; what is then unproven is told."""

LONGEST = 20.0
"""Time that one round may take [s]."""

_OPTIMAL, _INFEASIBLE = 0, 2


@dataclass(frozen=True)
class CautiousChoice:
    """A state of each cluster.

    Parameters
    ----------
    states
        One a cluster.
    rated
        What the choice costs under the attitude [money].
    bound
        No allowed choice costs less [money].
    """

    states: tuple[int, ...]
    rated: float
    bound: float


@dataclass
class Weighings:
    """The costs of all states, and the weighings of futures found so far.

    Parameters
    ----------
    costs
        Shape (P, N) a cluster [money]; infinite where a state cannot be ordered.
    common
        What every choice costs beside, shape (N,) [money].
    """

    costs: Sequence[Floats]
    common: Floats
    attitude: Attitude
    cuts: list[tuple[float, Floats]] = field(default_factory=list)

    @cached_property
    def sizes(self) -> list[int]:
        """States of each cluster."""
        return [len(cost) for cost in self.costs]

    @cached_property
    def orderable(self) -> list[Bools]:
        """Which states can be ordered, shape (P,) a cluster."""
        return [np.isfinite(cost[:, 0]) for cost in self.costs]

    def cost(self, states: Sequence[int]) -> Floats:
        """Cost of a choice in each future, shape (N,)."""
        parts = (cost[state] for cost, state in zip(self.costs, states, strict=True))
        return sum(parts, start=self.common)

    def add(self, cost: Floats) -> None:
        """The weighing of a cost that may be a mixture of choices, shape (N,)."""
        density = self.attitude.weighing(cost) / len(cost)
        means = [
            np.where(able, np.where(able[:, None], each, 0.0) @ density, np.inf)
            for each, able in zip(self.costs, self.orderable, strict=True)
        ]
        self.cuts.append((float(self.common @ density), np.concatenate(means)))

    def least(self, limits: Sequence[Limit] = ()) -> CautiousChoice | None:
        """The choice that costs least under the attitude, with a bound on any other.

        Parameters
        ----------
        limits
            Limits on sums over the clusters.

        Returns
        -------
        The choice; none when no choice keeps the limits.
        """
        if not self.cuts:
            self.add(self.common)
        return _Search(self, np.concatenate(self.orderable), limits).best()

    def bettered(
        self,
        states: Sequence[int],
        limits: Sequence[Limit] = (),
        within: tuple[int, Bools] | None = None,
    ) -> tuple[int, ...]:
        """A choice changed one cluster at a time until no single change lowers what it costs.

        Parameters
        ----------
        states
            A choice that keeps the limits.
        limits
            Limits on sums over the clusters.
        within
            A cluster and the states that it may take, if not all.
        """
        best = list(states)
        least, before = self.attitude.rating(self.cost(best)), np.inf
        while least < before - CLOSE_ENOUGH:
            before = least
            for cluster in range(len(best)):
                free = None if within is None or within[0] != cluster else within[1]
                best[cluster], least = self._best_of_cluster(best, cluster, (limits, free))
        return tuple(best)

    def _best_of_cluster(
        self, states: Sequence[int], cluster: int, rules: tuple[Sequence[Limit], Bools | None]
    ) -> tuple[int, float]:
        """The best state of one cluster beside those of the others, and what the choice costs."""
        limits, free = rules
        able = self.orderable[cluster] & (True if free is None else free)
        for limit in limits:
            own = limit.uses[cluster]
            total = sum(float(use[s]) for use, s in zip(limit.uses, states, strict=True))
            able &= total - own[states[cluster]] + own <= limit.room + 1e-9
        costs = self.costs[cluster]
        others = self.cost(states) - costs[states[cluster]]
        free_states = np.flatnonzero(able)
        rated = self.attitude.row_ratings(others + costs[free_states])
        best = int(rated.argmin())
        return int(free_states[best]), float(rated[best])


@dataclass(frozen=True)
class _Programme:
    """Rows of a programme over states and, last, the t that is made as small as possible.

    Parameters
    ----------
    above, room
        ``above x <= room``: t is above every weighing, and the limits are kept.
    one
        One state a cluster.
    """

    above: Floats
    room: Floats
    one: Floats

    @property
    def aim(self) -> Floats:
        """Nothing but t counts."""
        return np.append(np.zeros(self.above.shape[1] - 1), 1.0)


@dataclass
class _Search:
    """The search for one best choice."""

    known: Weighings
    able: Bools
    limits: Sequence[Limit]
    found: CautiousChoice | None = None
    bound: float = -np.inf

    def best(self) -> CautiousChoice | None:
        if not self._find_by_mixtures():
            return None
        for _ in range(MOST_ROUNDS):
            states = self._chosen()
            if states is None:
                break
            self._try(states)
            if self.found is None or self.found.rated - self.bound <= CLOSE_ENOUGH:
                break
        if self.found is None:
            return None
        bound = min(self.bound, self.found.rated)
        return CautiousChoice(self.found.states, self.found.rated, bound)

    def _find_by_mixtures(self) -> bool:
        """Find the weighings that matter from mixtures of states, which are quick to find.

        States that are hopeless are left out. False if no mixture keeps the limits.
        """
        from scipy.optimize import linprog  # noqa: PLC0415 - slow, and most advice needs none

        for _ in range(MOST_ROUNDS):
            columns = np.flatnonzero(self.able)
            given = self._programme(columns)
            solved = linprog(
                given.aim,
                A_ub=given.above,
                b_ub=given.room,
                A_eq=given.one,
                b_eq=np.ones(len(given.one)),
                bounds=[(0.0, 1.0)] * len(columns) + [(None, None)],
            )
            if solved.status == _INFEASIBLE:
                return False
            if solved.status != _OPTIMAL or solved.x is None:
                raise RuntimeError(solved.message)
            least, weights = float(solved.x[-1]) + self._base, solved.x[:-1]
            self.bound = max(self.bound, least - CLOSE_ENOUGH / 100)
            mixture = self._mixture(columns, weights)
            self._round(columns, weights)
            self._drop(-solved.ineqlin.marginals[: len(self.known.cuts)])
            self.known.add(mixture)
            if self.known.attitude.rating(mixture) - least <= CLOSE_ENOUGH:
                break
        return True

    @property
    def _base(self) -> float:
        """Taken off every weighing to keep numbers small."""
        constant, means = self.known.cuts[0]
        return constant + float(means[np.isfinite(means)].min())

    @cached_property
    def _cluster(self) -> Indices:
        return np.repeat(np.arange(len(self.known.sizes), dtype=np.intp), self.known.sizes)

    def _programme(self, columns: Indices) -> "_Programme":
        """Least t above every weighing of a mixture of states that keeps the limits."""
        rows = np.array([means[columns] for _, means in self.known.cuts])
        free = [self._base - constant for constant, _ in self.known.cuts]
        uses = np.array([np.concatenate(limit.uses)[columns] for limit in self.limits])
        rooms = [limit.room + 1e-9 for limit in self.limits]
        above = np.column_stack([rows, -np.ones(len(rows))])
        if len(uses):
            above = np.vstack([above, np.column_stack([uses, np.zeros(len(uses))])])
        count = len(columns)
        one = np.zeros((len(self.known.sizes), count + 1))
        one[self._cluster[columns], np.arange(count)] = 1.0
        return _Programme(above=above, room=np.array([*free, *rooms]), one=one)

    def _mixture(self, columns: Indices, weights: Floats) -> Floats:
        starts = np.concatenate([[0], np.cumsum(self.known.sizes)])
        total = self.known.common.copy()
        for column, weight in zip(columns, weights, strict=True):
            if weight > 0.0:
                cluster = int(self._cluster[column])
                total += weight * self.known.costs[cluster][column - starts[cluster]]
        return total

    def _states(self, columns: Indices, weights: Floats) -> tuple[int, ...]:
        """The heaviest state of each cluster."""
        full = np.full(len(self.able), -1.0)
        full[columns] = weights
        parts = np.split(full, np.cumsum(self.known.sizes)[:-1])
        return tuple(int(part.argmax()) for part in parts)

    def _round(self, columns: Indices, weights: Floats) -> None:
        states = self._states(columns, weights)
        if all(keeps(limit, states) for limit in self.limits):
            self._take(states, self.known.cost(states))

    def _drop(self, duals: Floats) -> None:
        """Leave out states with which even the bound is above what is already found."""
        if self.found is None or duals.sum() <= 0.0:
            return
        shares = np.maximum(duals, 0.0) / np.maximum(duals, 0.0).sum()
        constant = float(sum(s * c for s, (c, _) in zip(shares, self.known.cuts, strict=True)))
        means = sum(s * m for s, (_, m) in zip(shares, self.known.cuts, strict=True) if s > 0.0)
        parts = np.split(np.where(self.able, means, np.inf), np.cumsum(self.known.sizes)[:-1])
        least = constant + sum(float(part.min()) for part in parts)
        extra = np.concatenate([part - part.min() for part in parts])
        self.able &= least + extra <= self.found.rated + CLOSE_ENOUGH

    def _chosen(self) -> tuple[int, ...] | None:
        """The choice that is least under all weighings so far; raises the bound."""
        from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - slow, as above

        columns = np.flatnonzero(self.able)
        given = self._programme(columns)
        solved = milp(
            given.aim,
            integrality=np.append(np.ones(len(columns)), 0),
            bounds=Bounds(
                np.append(np.zeros(len(columns)), -np.inf), np.append(np.ones(len(columns)), np.inf)
            ),
            constraints=[
                LinearConstraint(given.above, ub=given.room),
                LinearConstraint(given.one, lb=1.0, ub=1.0),
            ],
            options={"mip_rel_gap": 0.0, "time_limit": LONGEST},
        )
        if solved.mip_dual_bound is not None and np.isfinite(solved.mip_dual_bound):
            self.bound = max(self.bound, float(solved.mip_dual_bound) + self._base)
        return None if solved.x is None else self._states(columns, solved.x[:-1])

    def _try(self, states: tuple[int, ...]) -> None:
        cost = self.known.cost(states)
        self.known.add(cost)
        self._take(states, cost)

    def _take(self, states: tuple[int, ...], cost: Floats) -> None:
        rated = self.known.attitude.rating(cost)
        if self.found is None or rated < self.found.rated:
            self.found = CautiousChoice(states, rated, self.bound)
