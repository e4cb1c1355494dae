"""The three valuations of every package of one cluster, on the same futures."""

from dataclasses import dataclass

import numpy as np

from optioneer.valuation.futures import Futures, Growth
from optioneer.valuation.lattice import Lattice
from optioneer.valuation.policy import Mapper, Policy, learned_policy
from optioneer.valuation.signals import Scores, Signals
from optioneer.valuation.sweep import hindsight_cost, policy_cost
from optioneer.valuation.timeline import Floats, Timeline
from optioneer.valuation.view import View, views

BLOCK = 2**16
"""Packages x futures swept together: small enough to stay in a core's cache."""

LEARNED_ON = 2**23
"""Packages x futures that a policy is learned on, at most."""


@dataclass(frozen=True)
class World:
    """What every cluster of a case shares.

    Parameters
    ----------
    timeline, growth
        Clock and scenario.
    scores
        What arrivals say of drivers; none when no stream hangs on one.
    valued, learned
        Futures to value on and, drawn apart from them, to learn from.
    """

    timeline: Timeline
    growth: Growth
    scores: Scores | None
    valued: Futures
    learned: Futures

    def views(self, lattice: Lattice) -> list[View]:
        """The futures to value on, as blocks seen by `lattice`."""
        return self._blocks(lattice, self.valued, self.valued.count)

    def lessons(self, lattice: Lattice) -> list[View]:
        """The futures to learn from, as blocks seen by `lattice`."""
        count = min(self.learned.count, max(LEARNED_ON // lattice.size, 512))
        return self._blocks(lattice, self.learned, count)

    def _blocks(self, lattice: Lattice, futures: Futures, count: int) -> list[View]:
        size = max(BLOCK // lattice.size, 64)
        edges = [*range(0, count, size), count]
        return views(lattice, self.timeline, self.growth, futures, edges)


@dataclass(frozen=True)
class ClusterCost:
    """What the packages of a cluster cost, order included, in N futures.

    Parameters
    ----------
    lattice
        The packages.
    policy
        The learned policy that `learned` follows.
    learned
        Realised cost of each state, shape (P, N) [money]; infinite where it cannot be ordered.
    hindsight, rule
        Means over futures of the other two valuations, shape (P,) [money].
    best_hindsight
        Least cost over the packages with the future known, shape (N,) [money].
    """

    lattice: Lattice
    policy: Policy
    learned: Floats
    hindsight: Floats
    rule: Floats
    best_hindsight: Floats


def cluster_cost(world: World, lattice: Lattice, run: Mapper) -> ClusterCost:
    """The three valuations of every package of `lattice`."""
    policy = policy_of(world, lattice, run)
    learned = np.empty((lattice.size, world.valued.count))
    hindsight, rule = np.zeros(lattice.size), np.zeros(lattice.size)
    best = np.empty(world.valued.count)
    blocks = world.views(lattice)
    start = 0
    for foresight, simple, realised in run(lambda view: _three(view, policy), blocks):
        stop = start + foresight.shape[1]
        learned[:, start:stop] = realised
        best[start:stop] = (lattice.price[:, None] + foresight).min(axis=0)
        hindsight += foresight.sum(axis=1)
        rule += simple.sum(axis=1)
        start = stop
    learned += lattice.price[:, None]
    return ClusterCost(
        lattice=lattice,
        policy=policy,
        learned=learned,
        hindsight=lattice.price + hindsight / world.valued.count,
        rule=lattice.price + rule / world.valued.count,
        best_hindsight=best,
    )


def policy_of(world: World, lattice: Lattice, run: Mapper) -> Policy:
    """The learned policy; nothing to learn where nothing can be retrofitted or no work turns up."""
    if not lattice.targets or not len(lattice.streams):
        return Policy()
    signals = Signals(lattice, world.growth, world.timeline, world.scores)
    return learned_policy(signals, world.lessons(lattice), run)


def _three(view: View, policy: Policy) -> tuple[Floats, Floats, Floats]:
    foresight = hindsight_cost(view)
    if not view.lattice.targets:
        return foresight, foresight, foresight
    rule = policy_cost(view, Policy())
    return foresight, rule, policy_cost(view, policy) if policy.corrections else rule
