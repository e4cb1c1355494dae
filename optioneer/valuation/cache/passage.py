"""One package on its way through some of the futures, as the learned policy leads it."""

from collections.abc import Iterator
from dataclasses import fields

import numpy as np

from optioneer.arrays import Indices
from optioneer.valuation.cache.paths import moves_after_order
from optioneer.valuation.lattice.outlays import flow_cost
from optioneer.valuation.timing.cluster import ClusterCost, World
from optioneer.valuation.timing.journey import Decision, Journey, PackageWalk, decisions
from optioneer.valuation.timing.policy import decision_spans
from optioneer.valuation.timing.sweep import Moves


class Passage:
    """One package of a cluster in some futures, and what is decided there period by period.

    Parameters
    ----------
    start
        State that is ordered.
    some
        Places of the n futures.
    """

    def __init__(self, world: World, cost: ClusterCost, start: int, some: Indices) -> None:
        part, self.states = cost.lattice.reachable(start)
        price = None if world.price is None else world.price[:, some]
        self.view = world.view(part, world.valued.at(some), price)
        self.walk = PackageWalk(self.view, int(np.flatnonzero(self.states == start)[0]))
        self._cost, self._start, self._some = cost, start, some

    def decisions(self) -> Iterator[tuple[int, Decision]]:
        """By period, forward in time; from the moves that are kept, where they are."""
        if self._cost.moves is None:
            policy = self._cost.policy.of(self.states)
            return decisions(self.view, policy.after(int(self.walk.state[0])))
        return self._decisions_from_moves(self._cost.moves)

    def _decisions_from_moves(self, moves: Moves) -> Iterator[tuple[int, Decision]]:
        after = moves_after_order(moves, self._start)
        number = np.zeros(self._cost.lattice.size, dtype=np.intp)
        number[self.states] = np.arange(len(self.states))
        for periods in reversed([*decision_spans(self.view), range(1)]):
            flow = flow_cost(self.view, periods, self.view.known_level(periods))
            charges = self.view.charges(periods)
            for place, t in enumerate(periods):
                now, rows = self.view.moments(place), after[t][self.states]
                choice = number[rows[:, self._some]]
                yield t, Decision(flow[:, now], choice, charges.of(now))

    def journey(self) -> Journey:
        """What has happened, states numbered as those of the whole cluster."""
        return self.walk.journey().among(self.states)


def journey_in(journey: Journey, some: Indices) -> Journey:
    """What happens in some of the futures."""
    return Journey(*(getattr(journey, each.name)[..., some] for each in fields(journey)))


def journey_with_other(journey: Journey, some: Indices, other: Journey) -> Journey:
    """The same, but in some futures what happens in those of another."""
    found = {each.name: getattr(journey, each.name).copy() for each in fields(journey)}
    for name, values in found.items():
        values[..., some] = getattr(other, name)
    return Journey(**found)
