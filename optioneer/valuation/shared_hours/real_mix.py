"""What clusters that stay apart cost together beyond their prices of hours and of visits."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.cache.paths import moves_after_order, states_along, states_moved_to
from optioneer.valuation.large.short_list import Listed, with_journeys_in
from optioneer.valuation.shared_hours.call_outs import SharedCalls
from optioneer.valuation.shared_hours.hour_prices import Members, members_of
from optioneer.valuation.shared_hours.margins import Margins
from optioneer.valuation.shared_hours.shop import held_steps, hours_needed, overpaid
from optioneer.valuation.timing.cluster import ClusterCost, World, journey_of_state
from optioneer.valuation.timing.journey import Journey, Trail, trails_of
from optioneer.valuation.timing.policy import Policy

FEWER = 16
"""Part of the futures on which packages are compared as they really share."""

FEWEST = 2
"""Part of those on which many are."""

TOGETHER = 2**13
"""Moments that are looked at together."""


class MixTerm:
    """What packages cost beyond the clusters' costs at their prices of hours and of visits.

    Parameters
    ----------
    world
        The futures, with their prices of an hour.
    costs
        One a cluster.

    Notes
    -----
    Retrofits follow the policy that each cluster learned at these prices; the work of every period
    is then mixed anew in the hours there are, and each visit paid for once, so that the cost told
    is one that is reached by acting so. It is never below 0: at any prices that hang on no package,
    what the clusters cost apart less what the attended hours are worth is no more than what they
    cost together (weak duality of the programme in every period, hence of the sum; of visits see
    `SharedCalls`).

    Packages are compared in every so many futures, each of which stands for those that follow it,
    so that differences are paired and their standard errors honest.

    References
    ----------
    Geoffrion, "Lagrangean relaxation for integer programming", Mathematical Programming Study 2
    (1974) 82-114, theorem 1 (from memory).
    """

    def __init__(self, world: World, costs: Sequence[ClusterCost]) -> None:
        self.world, self.costs = world, costs

    @cached_property
    def tied_clusters(self) -> tuple[int, ...]:
        """Clusters that stay apart although they share hours or visits."""
        return Mixed(self.world, self.costs, members=self._members).tied

    @cached_property
    def _members(self) -> Members:
        return sharing_hours(self.world, self.costs)

    @property
    def any_tied(self) -> bool:
        """Whether there are any."""
        return bool(self.tied_clusters)

    def cost(self, package: Sequence[int]) -> Floats:
        """What sharing costs beyond its prices, shape (N,) [money].

        Worked out in every so many futures; each stands for those that follow it.
        """
        if not self.any_tied:
            return np.zeros(self.world.valued.count)
        few = self.fewer.cost(self._own(package))
        return np.repeat(few, FEWER)[: self.world.valued.count]

    def whole(self, journeys: Sequence[Journey]) -> Floats:
        """The same worked out in every future, from what happens to a package, (N,) [money].

        Parameters
        ----------
        journeys
            One a cluster.
        """
        trails = {i: trails_of(self.costs[i].lattice, journeys[i]) for i in self.tied_clusters}
        return Mixed(self.world, self.costs, members=self._members).cost_of(trails)

    def beyond(self, other: Sequence[int], chosen: Sequence[int]) -> Floats:
        """What sharing costs one package beyond another, shape (N,) [money]."""
        return self.cost(other) - self.cost(chosen)

    def mean(self, package: Sequence[int], *, rough: bool = False) -> float:
        """Mean of the cost on every so many futures; on fewer still where that is enough."""
        if not self.any_tied:
            return 0.0
        mixed = self.fewest if rough else self.fewer
        return float(mixed.cost(self._own(package)).mean())

    def under_rule(self, package: Sequence[int]) -> float:
        """Mean of the cost when retrofits follow the rule alone, on few futures."""
        return float(self._rule.cost(self._own(package)).mean()) if self.any_tied else 0.0

    @cached_property
    def _rule(self) -> "Mixed":
        return Mixed(self.fewest.world, self.costs, ruled=True, members=self._members)

    def _own(self, package: Sequence[int]) -> tuple[int, ...]:
        return tuple(package[cluster] for cluster in self.tied_clusters)

    @cached_property
    def fewer(self) -> "Mixed":
        """Packages on every so many futures."""
        few = replace(self.world, valued=self.world.valued.every(FEWER))
        return Mixed(few, self.costs, every=FEWER, members=self._members)

    @cached_property
    def fewest(self) -> "Mixed":
        """Packages on fewer still."""
        few = replace(self.world, valued=self.world.valued.every(FEWER * FEWEST))
        return Mixed(few, self.costs, every=FEWER * FEWEST, members=self._members)


def sharing_hours(world: World, costs: Sequence[ClusterCost]) -> Members:
    """The clusters that share hours and stay apart; nobody where one lattice holds all of them."""
    apart = world.shop is not None and world.attendance is not None
    return members_of([cost.lattice for cost in costs] if apart else ())


class Mixed:
    """Packages as clusters really share, on the futures of a world; what was worked out is kept.

    Parameters
    ----------
    world
        The futures, with their prices of an hour.
    costs
        One a cluster.
    ruled
        Whether retrofits follow the rule alone, instead of what was learned.
    every
        The futures are every so many of those that the costs are of; none: they are others.
    members
        Those that share hours; none: they are looked for.
    """

    def __init__(
        self,
        world: World,
        costs: Sequence[ClusterCost],
        *,
        ruled: bool = False,
        every: int | None = None,
        members: Members | None = None,
    ) -> None:
        self.world, self.costs, self.ruled, self.every = world, costs, ruled, every
        self.calls = SharedCalls(world, [cost.lattice for cost in costs])
        self.members = sharing_hours(world, costs) if members is None else members
        self.tied = tuple(sorted({*self.members.each, *self.calls.clusters}))
        self._trails: dict[tuple[int, int], tuple[Trail, ...]] = {}
        self._moves: dict[tuple[int, bool], NDArray[np.int32]] = {}
        self._costs: dict[tuple[int, ...], Floats] = {}
        self._anchor: tuple[Indices, Floats] | None = None

    @cached_property
    def _margins(self) -> Margins:
        """Of the streams that take hours."""
        return Margins(self.world.view(self.members.shop.outline, self.world.valued))

    @property
    def _there(self) -> Bools:
        """Whether each of these streams earns anything, shape (K, T x N)."""
        there = self._margins.there
        return there.reshape(len(there), there.shape[1] * there.shape[2])

    @cached_property
    def _price(self) -> Floats:
        price = self.world.price
        if price is None:
            raise TypeError("Only worlds with a price of an hour are mixed anew.")
        return price.ravel()

    def cost(self, states: tuple[int, ...]) -> Floats:
        """What sharing costs beyond its prices, by future, shape (N,) [money].

        Parameters
        ----------
        states
            One of each cluster that shares anything.
        """
        if states not in self._costs:
            pairs = zip(self.tied, states, strict=True)
            self._costs[states] = self.cost_of({i: self._trails_of(i, state) for i, state in pairs})
        return self._costs[states]

    def cost_of(self, trails: Mapping[int, Sequence[Trail]]) -> Floats:
        """The same from what each of these clusters goes through."""
        return self._mix_of(trails) + self.calls.left_to_pay(trails)

    def _mix_of(self, trails: Mapping[int, Sequence[Trail]]) -> Floats:
        """What the mix of work costs beyond the price of an hour, shape (N,) [money]."""
        if not self.members.each:
            return np.zeros(self.world.valued.count)
        held = [member.along(trails[i]) for i, member in self.members.each.items()]
        worth = self.world.timeline.during * self.world.timeline.dt
        over = self._overpaid(np.concatenate([each.reshape(len(each), -1) for each in held]))
        return np.asarray(worth @ over.reshape(len(worth), -1))

    def _overpaid(self, held: Indices) -> Floats:
        """By moment, shape (T x N,); only what differs from the first package is worked out."""
        if self._anchor is None:
            self._anchor = held, self._overpaid_at(held, np.arange(held.shape[1]))
            return self._anchor[1]
        anchor, found = self._anchor
        rows = np.flatnonzero((held != anchor).any(axis=1))
        differs = (held[rows] != anchor[rows]) & self._there[rows]
        moments = np.flatnonzero(differs.any(axis=0))
        found = found.copy()
        found[moments] = self._overpaid_at(held, moments)
        return found

    def _overpaid_at(self, held: Indices, moments: Indices) -> Floats:
        attendance, sets = self.world.attendance, self.members.shop.sets
        if attendance is None:
            raise TypeError("Only limited hours are mixed.")
        found = np.zeros(len(moments))
        for start in range(0, len(moments), TOGETHER):
            some = moments[start : start + TOGETHER]
            needed = hours_needed(sets, held[:, some], self._there[:, some])
            # Where the hours do for all work and cost nothing, nothing is paid too much for them.
            scarce = np.flatnonzero((needed > attendance.hours) | (self._price[some] > 0.0))
            where = some[scarce]
            margin = self._margins.at(np.arange(len(held)), *divmod(where, self.world.valued.count))
            steps = held_steps(sets, held[:, where])
            found[start + scarce] = overpaid(steps, margin, self._price[where], attendance)
        return found

    def _trails_of(self, cluster: int, state: int) -> tuple[Trail, ...]:
        """What a cluster goes through once a state of it is ordered."""
        key, cost = (cluster, state), self.costs[cluster]
        if key not in self._trails and isinstance(cost.lattice, Listed):
            lives = with_journeys_in(self.world, cost, ruled=self.ruled)
            lived = journey_of_state(self.world, lives, state, map)
            self._trails[key] = trails_of(cost.lattice, lived)
        elif key not in self._trails:
            after = self._after(cluster, state)
            self._trails[key] = ((cost.lattice, states_along(after, state)),)
        return self._trails[key]

    def _after(self, cluster: int, state: int) -> NDArray[Any]:
        """What is done from every state of a cluster once one is ordered, shape (T, P, N)."""
        cost = self.costs[cluster]
        if cost.moves is not None and self.every is not None:
            return moves_after_order(cost.moves, state)[..., :: self.every]
        policy = Policy() if self.ruled else cost.policy.after(state)
        key = cluster, bool(policy.corrections)
        if key not in self._moves:
            views = self.world.views(cost.lattice)
            self._moves[key] = np.concatenate(
                [states_moved_to(view, policy) for view in views], axis=2
            )
        return self._moves[key]
