"""Call-outs that clusters share which are valued apart: each visit once, whoever calls for it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.timing.cluster import World
from optioneer.valuation.timing.journey import Trail

User = tuple[int, int]
"""A cluster, and the number there of a visit."""


@dataclass(frozen=True)
class SharedCalls:
    """The call-outs that some clusters share, and what becomes of their charges.

    Parameters
    ----------
    lattices
        One a cluster.

    Notes
    -----
    Of a visit each cluster pays its turn, see `lattice.Turns`: parts that add up to 1 in every
    period and future, are known at the time and hang on no package. Who comes alone pays too
    little then, those who come together all in all no more than the charge: of a visit that any
    calls for, the parts of those who do add up to 1 at most. So what is left to pay is never below
    0, and the sum over the clusters of the least that each can cost at its turns is no more than
    the least that all cost together (weak duality; the turns are multipliers of the constraints
    that a visit is made when a cluster calls for it, whose sum is its charge).

    References
    ----------
    Geoffrion, "Lagrangean relaxation for integer programming", Mathematical Programming Study 2
    (1974) 82-114, theorem 1 (from memory).
    """

    world: World
    lattices: Sequence[Lattice]

    @cached_property
    def users(self) -> dict[tuple[object, ...], list[User]]:
        """Who uses each visit that is shared."""
        found: dict[tuple[object, ...], list[User]] = {}
        for cluster, lattice in enumerate(self.lattices):
            for visit, turns in enumerate(lattice.turns):
                if turns is not None:
                    found.setdefault((turns.call_out, turns.streams), []).append((cluster, visit))
        return found

    @cached_property
    def clusters(self) -> tuple[int, ...]:
        """Clusters that share any."""
        return tuple(sorted({cluster for each in self.users.values() for cluster, _ in each}))

    def left_to_pay(self, trails: Mapping[int, Sequence[Trail]]) -> Floats:
        """What visits cost beyond what the clusters pay for them, shape (n,) [money].

        Parameters
        ----------
        trails
            Of each cluster that shares any.
        """
        total = np.zeros(self.world.valued.count)
        for users in self.users.values():
            total += self._left_to_pay_by(users, trails)
        return total

    def _left_to_pay_by(
        self, users: Sequence[User], trails: Mapping[int, Sequence[Trail]]
    ) -> Floats:
        timeline, valued = self.world.timeline, self.world.valued
        called = np.zeros((timeline.periods, valued.count), dtype=bool)
        paid = np.zeros(called.shape)
        cluster, visit = users[0]
        for cluster, visit in users:
            own = np.logical_or.reduce([visits_made(trail, visit) for trail in trails[cluster]])
            own &= self._there
            called |= own
            paid += own * self._share(cluster, visit)
        charge = timeline.at_start[:-1] * timeline.retrofit_level[:-1]
        return np.asarray(self.lattices[cluster].visits[visit] * (charge @ (called - paid)))

    @cached_property
    def _there(self) -> Bools:
        """Whether the machine is there after the start of each period, shape (T, n)."""
        periods, stay = self.world.timeline.periods, self.world.valued.stay
        if not stay.size:
            return np.ones((periods, 1), dtype=bool)
        return np.asarray(stay > np.arange(periods)[:, None])

    def _share(self, cluster: int, visit: int) -> Floats:
        turns = self.lattices[cluster].turns[visit]
        if turns is None:
            raise TypeError("Only visits that are shared have turns.")
        return turns.share(self.world.valued.arrival, self.world.timeline.periods)


def visits_made(trail: Trail, visit: int) -> Bools:
    """Whether a retrofit is made that needs a visit, by period and future, shape (T, n).

    Parameters
    ----------
    visit
        Its number.
    """
    lattice, states = trail
    before, after = states[:-1], states[1:]
    made = np.zeros(before.shape, dtype=bool)
    for target in lattice.targets:
        if target.visit == visit:
            level = lattice.levels[target.axis]
            made |= (level[after] == target.level) & (level[before] != target.level)
    return made
