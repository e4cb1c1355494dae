"""Every package of one cluster valued after its order, and priced."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from functools import partial
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats
from optioneer.valuation.cache.content import content_name, swept_name
from optioneer.valuation.cache.memory import MEMORY, Arrays, remembered_arrays
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.cluster import (
    ClusterCost,
    World,
    block_map,
    cost_of_policy,
    cost_while_learning,
    policy_of,
)
from optioneer.valuation.timing.policy import Correction, Mapper, Policy
from optioneer.valuation.timing.signals import Signals
from optioneer.valuation.timing.sweep import (
    Moves,
    hindsight_cost,
    policy_costs,
    policy_costs_and_moves,
)

MOST_MOVES = 2**27
"""Bytes that the moves of a cluster may take, so that journeys need not be decided again."""


@dataclass(frozen=True)
class Swept:
    """What the packages of a cluster cost after the order, in N futures.

    Prices paid at the order are no part of it: they change no decision that comes after.

    Parameters
    ----------
    learned, hindsight
        Realised cost of each state under it and with the future known, shape (P, N) [money];
        infinite for states that are not valid.
    rule
        Mean cost of each state under the rule, shape (P,) [money]; like `hindsight` empty where no
        bounds were asked for.
    moves
        What the policy does; none where that is too much to keep, or nothing can be done.
    """

    policy: Policy
    learned: Floats
    hindsight: Floats
    rule: Floats
    moves: Moves | None

    @property
    def arrays(self) -> Arrays:
        """All of it as arrays by name."""
        found: dict[str, NDArray[Any]] = {
            "learned": self.learned,
            "hindsight": self.hindsight,
            "rule": self.rule,
        }
        if self.policy.ruled is not None:
            found["ruled"] = self.policy.ruled
        if self.moves is not None:
            found["moves"] = self.moves.learned
            found |= {} if self.moves.rule is None else {"rule_moves": self.moves.rule}
        for t, correction in enumerate(self.policy.corrections):
            if correction is not None:
                for each in fields(correction):
                    found[f"{each.name} {t}"] = getattr(correction, each.name)
        return found

    @classmethod
    def of(cls, arrays: Arrays, world: World, lattice: Lattice) -> "Swept":
        """From arrays by name, of a lattice and a world that are read alike."""
        ruled, moves = arrays.get("ruled"), arrays.get("moves")
        policy = Policy()
        if any(name.startswith("weight ") for name in arrays):
            periods = range(world.timeline.periods)
            signals = Signals(lattice, world.growth, world.timeline)
            corrections = tuple(_correction(arrays, t) for t in periods)
            policy = Policy(signals, corrections, ruled)
        made = None if moves is None else Moves(moves, arrays.get("rule_moves"), ruled)
        return cls(policy, arrays["learned"], arrays["hindsight"], arrays["rule"], made)

    def with_prices_of(self, lattice: Lattice) -> ClusterCost:
        """The same with the prices of `lattice`, which may be other than those it was swept at."""
        price, none = lattice.price[:, None], np.empty(0)
        told = bool(self.rule.size)
        return ClusterCost(
            lattice=lattice,
            policy=self.policy,
            learned=self.learned + price,
            hindsight=self.hindsight.mean(axis=1) + lattice.price if told else none,
            rule=self.rule + lattice.price if told else none,
            best_hindsight=(self.hindsight + price).min(axis=0) if told else none,
            moves=self.moves,
        )


def _correction(arrays: Arrays, t: int) -> Correction | None:
    if f"weight {t}" not in arrays:
        return None
    return Correction(**{each.name: arrays[f"{each.name} {t}"] for each in fields(Correction)})


def costs_after_order(
    world: World,
    lattice: Lattice,
    run: Mapper,
    policy: Policy | None = None,
    *,
    bounds: bool = True,
) -> Swept:
    """The valuations of every package of `lattice`; its policy is learned unless told.

    `bounds`: all three of them; else what the policy costs alone.
    """
    policy = policy_of(world, lattice, run) if policy is None else policy
    views = world.views(lattice)
    shape = (lattice.size, world.valued.count)
    keep = bool(lattice.targets) and _moves_bytes(lattice, policy, world) <= MOST_MOVES
    moves = Moves.room_for(policy, (world.timeline.periods, *shape)) if keep else None
    learned, hindsight = np.empty(shape), np.empty(shape if bounds else (lattice.size, 0))
    rule = np.zeros(lattice.size if bounds else 0)
    edges = [*pairwise(np.cumsum([0, *(view.futures.count for view in views)]).tolist())]
    rooms = [None if moves is None else moves.block(*edge) for edge in edges]
    block_costs = partial(_block if bounds else _block_alone, policy)
    blocks = block_map(run, views)(block_costs, views, rooms)
    for (start, stop), block in zip(edges, blocks, strict=True):
        learned[:, start:stop], hindsight[:, start:stop] = block.learned, block.hindsight
        rule += block.rule
    return Swept(policy, learned, hindsight, rule / shape[1], moves)


def cluster_cost(
    world: World, lattice: Lattice, run: Mapper, *, bounds: bool = True
) -> ClusterCost:
    """The valuations of every package, with the prices of `lattice`; kept from then on."""
    found = _remembered_costs(world, lattice, run, bounds=bounds)
    return Swept.of(found, world, lattice).with_prices_of(lattice)


def cost_under(world: World, lattice: Lattice, policy: Policy) -> ClusterCost:
    """The same under a policy that is told instead of learned, whose signals are of `lattice`."""

    def make() -> Arrays:
        return costs_after_order(world, lattice, map, policy).arrays

    name = content_name("under", swept_name(world, lattice), policy.corrections, policy.ruled)
    return Swept.of(remembered_arrays(name, make), world, lattice).with_prices_of(lattice)


def cost_at_prices(world: World, cost: ClusterCost, lattice: Lattice) -> ClusterCost | None:
    """`cost` with the prices of `lattice`, without a sweep; none where what was swept is not kept.

    Parameters
    ----------
    world, lattice
        In which all that a sweep reads is as it was where `cost` and its policy were found.
    """
    if np.array_equal(cost.lattice.price, lattice.price):
        return replace(cost, lattice=lattice)
    found = MEMORY.get(costs_name(world, lattice, bounds=bool(cost.rule.size)))
    return None if found is None else Swept.of(found, world, lattice).with_prices_of(lattice)


def remembered_foresight(world: World, lattice: Lattice, run: Mapper) -> Floats:
    """Cost of every package with the future known, order included, shape (P, N) [money]."""
    return np.asarray(_remembered_costs(world, lattice, run)["hindsight"] + lattice.price[:, None])


def remembered_bounds(world: World, cost: ClusterCost, state: int) -> tuple[float, float]:
    """Mean cost of a state with the future known and under the rule, order included [money].

    Worked out for it alone, and kept, where nobody asked for those of all states.
    """
    if cost.rule.size:
        return float(cost.hindsight[state]), float(cost.rule[state])

    def make() -> Arrays:
        part, states = cost.lattice.reachable(state)
        start = int(np.flatnonzero(states == state)[0])
        blocks = [_block(Policy(), view, None) for view in world.views(part)]
        both = ([block.hindsight, block.learned] for block in blocks)
        return {"bounds": np.concatenate([[each[start] for each in b] for b in both], axis=1)}

    name = content_name("bounds", swept_name(world, cost.lattice), state)
    hindsight, rule = (
        remembered_arrays(name, make)["bounds"].mean(axis=1) + cost.lattice.price[state]
    )
    return float(hindsight), float(rule)


def _remembered_costs(
    world: World, lattice: Lattice, run: Mapper, *, bounds: bool = True
) -> Arrays:
    def make() -> Arrays:
        return costs_after_order(world, lattice, run, bounds=bounds).arrays

    return remembered_arrays(costs_name(world, lattice, bounds=bounds), make)


def costs_name(world: World, lattice: Lattice, *, bounds: bool) -> str:
    """The name under which costs after the order are kept; with bounds they serve without, too."""
    name = swept_name(world, lattice)
    if bounds or MEMORY.get(name) is not None:
        return name
    return content_name("without bounds", name)


@dataclass(frozen=True)
class Taught:
    """A policy that is learned elsewhere.

    Parameters
    ----------
    world, lattice
        Where: the same packages under other figures.
    policy
        What is learned there, once it is needed.
    asked
        States whose costs are asked for; none: all.
    """

    world: World
    lattice: Lattice
    policy: Callable[[], Policy]
    asked: tuple[int, ...] = ()

    @property
    def followed(self) -> Policy:
        """The policy as far as it matters to the states that are asked for."""
        return self.policy().asked_from(self.asked) if self.asked else self.policy()

    @property
    def name(self) -> str:
        """The name of all that it hangs on."""
        return content_name(swept_name(self.world, self.lattice), self.asked)


def learned_means(
    world: World, lattice: Lattice, run: Mapper, *, taught: Taught | None = None
) -> Floats:
    """Mean cost of every package under the learned policy, shape (P,); kept from then on.

    `taught`: the policy that is followed, and whose costs matter; none: what is learned in `world`.
    """

    def make() -> Arrays:
        policy = policy_of(world, lattice, run) if taught is None else taught.followed
        return {"means": cost_of_policy(world, lattice, policy, run).mean(axis=1)}

    there = () if taught is None else (taught.name,)
    name = content_name("means", swept_name(world, lattice), lattice.price, *there)
    return remembered_arrays(name, make)["means"]


def costs_while_learning(world: World, lattice: Lattice, run: Mapper) -> Floats:
    """Cost of every package in the lessons themselves, shape (P, N) [money]; kept from then on."""

    def make() -> Arrays:
        return {"costs": cost_while_learning(world, lattice, run)}

    name = content_name("while learning", swept_name(world, lattice), lattice.price)
    return remembered_arrays(name, make)["costs"]


def _moves_bytes(lattice: Lattice, policy: Policy, world: World) -> int:
    strands = 1 + (policy.ruled is not None)
    one = np.min_scalar_type(lattice.size - 1).itemsize
    return strands * one * lattice.size * world.valued.count * world.timeline.periods


def _block(policy: Policy, view: View, room: Moves | None) -> Swept:
    """One block, its moves in `room` if there is any; `rule` is a sum, not a mean."""
    foresight = hindsight_cost(view)
    # Where nothing was learned the rule is all there is.
    policies = [Policy(), policy] if policy.corrections else [policy]
    realised = _realised(view, policies, room=room, still=foresight)
    return Swept(policy, realised[-1], foresight, realised[0].sum(axis=1), room)


def _block_alone(policy: Policy, view: View, room: Moves | None) -> Swept:
    """One block without bounds."""
    still = None if view.lattice.targets else hindsight_cost(view)
    (realised,) = _realised(view, [policy], room=room, still=still)
    return Swept(policy, realised, np.empty((len(realised), 0)), np.empty(0), room)


def _realised(
    view: View, policies: Sequence[Policy], *, room: Moves | None, still: Floats | None
) -> list[Floats]:
    """Cost under each policy, the moves of the last put in `room`; `still`: nothing can be done."""
    if not view.lattice.targets and still is not None:
        return [still]
    return policy_costs_and_moves(view, policies, room)[0] if room else policy_costs(view, policies)
