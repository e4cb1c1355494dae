"""What clusters that stay apart earn less together: the real mix of work against its price."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np

from optioneer.valuation.cluster import ClusterCost, World, lived
from optioneer.valuation.hours import Indices
from optioneer.valuation.pricing import Members, members_of
from optioneer.valuation.shop import overpaid, taken
from optioneer.valuation.timeline import Floats

FEWER = 8
"""Part of the futures on which packages are compared while the best one is looked for."""


class MixTerm:
    """What the best mix of work costs beyond the clusters' costs at their price of an hour.

    Parameters
    ----------
    world
        The futures, with their prices of an hour.
    costs
        One a cluster.

    Notes
    -----
    Retrofits follow the policy that each cluster learned at the price of an hour; the work of every
    period is then mixed anew in the hours there are, so that the cost told is one that is reached
    by acting so. It is never below 0: at any price of an hour that hangs on no package, what the
    clusters cost apart less what the attended hours are worth is no more than what they cost
    together (weak duality of the programme in every period, hence of the sum).

    References
    ----------
    Geoffrion, "Lagrangean relaxation for integer programming", Mathematical Programming Study 2
    (1974) 82-114, theorem 1 (from memory).
    """

    def __init__(self, world: World, costs: Sequence[ClusterCost]) -> None:
        self.world, self.costs = world, costs
        self._held: dict[tuple[int, int], Indices] = {}
        self._totals: dict[tuple[int, ...], Floats] = {}

    @property
    def needed(self) -> bool:
        """Whether clusters stay apart although hours tie them together."""
        return self.world.shop is not None and self.world.attendance is not None

    @cached_property
    def members(self) -> Members:
        """The clusters that share hours."""
        return members_of([cost.lattice for cost in self.costs])

    @cached_property
    def fewer(self) -> "MixTerm":
        """The same on every so many futures."""
        few = replace(self.world, valued=self.world.valued.every(FEWER))
        return MixTerm(few, self.costs)

    @cached_property
    def margins(self) -> Floats:
        """Margin a year of the streams that take hours, shape (K, T, N) [money]."""
        world, outline = self.world, self.members.shop.outline
        return self.members.shop.margins(world.view(outline, world.valued))

    def cost(self, package: Sequence[int]) -> Floats:
        """What the mix costs beyond the price of an hour, shape (N,) [money]."""
        own = tuple(package[cluster] for cluster in self.members.each) if self.needed else ()
        if own not in self._totals:
            self._totals[own] = self._cost(own)
        return self._totals[own]

    def beyond(self, other: Sequence[int], chosen: Sequence[int]) -> Floats:
        """What the mix costs one package beyond another, shape (N,) [money].

        Worked out on every so many futures; each stands for those that follow it, so that means
        and their standard errors are honest.
        """
        count = self.world.valued.count
        if not self.needed:
            return np.zeros(count)
        few = self.fewer.cost(other) - self.fewer.cost(chosen)
        return np.repeat(few, FEWER)[:count]

    def _cost(self, states: tuple[int, ...]) -> Floats:
        total = np.zeros(self.world.valued.count)
        price, attendance = self.world.price, self.world.attendance
        if price is None or attendance is None:
            return total
        worth = self.world.timeline.during * self.world.timeline.dt
        held = self.held(states)
        for t, now in enumerate(price):
            steps = taken(self.members.shop.sets, held[:, t])
            total += worth[t] * overpaid(steps, self.margins[:, t], now, attendance)
        return total

    def held(self, states: tuple[int, ...]) -> Indices:
        """Sets of ways owned in each period and future, shape (K, T, N)."""
        found = zip(self.members.each, states, strict=True)
        return np.concatenate([self._held_by(cluster, state) for cluster, state in found])

    def _held_by(self, cluster: int, state: int) -> Indices:
        key = (cluster, state)
        if key not in self._held:
            path = lived(self.world, self.costs[cluster], state, map)
            self._held[key] = self.members.each[cluster].held(path.owned)
        return self._held[key]
