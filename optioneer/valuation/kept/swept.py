"""Every package of one cluster valued after its order, and priced."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.lattice.cluster import ClusterCost, World, fitting, policy_of
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.policy import Mapper, Policy
from optioneer.valuation.lattice.sweep import (
    Moves,
    hindsight_cost,
    policy_costs,
    policy_costs_and_moves,
)
from optioneer.valuation.lattice.view import View

MOST_MOVES = 2**27
"""Bytes that the moves of a cluster may take, so that journeys need not be decided again."""


@dataclass(frozen=True)
class Swept:
    """What the packages of a cluster cost after the order, in N futures.

    Prices paid at the order are no part of it: they change no decision that comes after.

    Parameters
    ----------
    policy
        The learned policy.
    learned, hindsight
        Realised cost of each state under it and with the future known, shape (P, N) [money];
        infinite for states that are not valid.
    rule
        Mean cost of each state under the rule, shape (P,) [money].
    moves
        What the policy does; none where that is too much to keep, or nothing can be done.
    """

    policy: Policy
    learned: Floats
    hindsight: Floats
    rule: Floats
    moves: Moves | None

    def priced(self, lattice: Lattice) -> ClusterCost:
        """The same with the prices of `lattice`, which may be other than those it was swept at."""
        price = lattice.price[:, None]
        return ClusterCost(
            lattice=lattice,
            policy=self.policy,
            learned=self.learned + price,
            hindsight=self.hindsight.mean(axis=1) + lattice.price,
            rule=self.rule + lattice.price,
            best_hindsight=(self.hindsight + price).min(axis=0),
            moves=self.moves,
        )


def swept(world: World, lattice: Lattice, run: Mapper) -> Swept:
    """The three valuations of every package of `lattice`."""
    policy, views = policy_of(world, lattice, run), world.views(lattice)
    shape = (lattice.size, world.valued.count)
    keep = bool(lattice.targets) and _moves_bytes(lattice, policy, world) <= MOST_MOVES
    learned, hindsight = np.empty(shape), np.empty(shape)
    rule, moves, start = np.zeros(lattice.size), list[Moves](), 0
    for block in fitting(run, views)(partial(_block, policy, keep), views):
        stop = start + block.learned.shape[1]
        learned[:, start:stop], hindsight[:, start:stop] = block.learned, block.hindsight
        rule += block.rule
        moves += [] if block.moves is None else [block.moves]
        start = stop
    return Swept(policy, learned, hindsight, rule / shape[1], _joined(moves))


def cluster_cost(world: World, lattice: Lattice, run: Mapper) -> ClusterCost:
    """The three valuations of every package, with the prices of `lattice`."""
    return swept(world, lattice, run).priced(lattice)


def _moves_bytes(lattice: Lattice, policy: Policy, world: World) -> int:
    strands = 1 + (policy.ruled is not None)
    one = np.min_scalar_type(lattice.size - 1).itemsize
    return strands * one * lattice.size * world.valued.count * world.timeline.periods


def _block(policy: Policy, keep: bool, view: View) -> Swept:  # noqa: FBT001 - mapped over views
    """One block; `rule` is a sum, not a mean."""
    foresight, moves = hindsight_cost(view), None
    # Where nothing was learned the rule is all there is.
    policies = [Policy(), policy] if policy.corrections else [policy]
    realised = [foresight]
    if view.lattice.targets and keep:
        realised, moves = policy_costs_and_moves(view, policies)
    elif view.lattice.targets:
        realised = policy_costs(view, policies)
    return Swept(policy, realised[-1], foresight, realised[0].sum(axis=1), moves)


def _joined(blocks: Sequence[Moves]) -> Moves | None:
    """The futures of all blocks."""
    if not blocks:
        return None
    rule = [block.rule for block in blocks if block.rule is not None]
    return Moves(
        np.concatenate([block.learned for block in blocks], axis=2),
        np.concatenate(rule, axis=2) if rule else None,
        blocks[0].ruled,
    )
