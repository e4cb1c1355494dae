"""What becomes of a package and how far it can be bettered, kept by the content of what is read."""

from dataclasses import fields
from functools import partial, reduce
from itertools import pairwise

import numpy as np

from optioneer.arrays import Floats, Indices
from optioneer.valuation.cache.content import content_name, swept_name
from optioneer.valuation.cache.memory import Arrays, remembered_arrays
from optioneer.valuation.cache.paths import moves_after_order, path_through
from optioneer.valuation.lattice.charges import Charges
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.cluster import ClusterCost, World, journey_of_state
from optioneer.valuation.timing.journey import Journey, decisions_by, journey_along
from optioneer.valuation.timing.policy import Mapper, Policy
from optioneer.valuation.timing.sweep import Moves


def journey_from_moves(world: World, cost: ClusterCost, state: int, run: Mapper) -> Journey:
    """As `cluster.journey_of_state`, to the last bit; what the policy does is not worked out again.

    Parameters
    ----------
    world
        With the futures that `cost` was valued on.
    cost, state, run
        As for `cluster.journey_of_state`.
    """
    if cost.moves is None or cost.journeys is not None:
        return journey_of_state(world, cost, state, run)
    part, states = cost.lattice.reachable(state)
    views = world.views(part)
    edges = pairwise(np.cumsum([0, *(view.futures.count for view in views)]))
    own = partial(_journey_in_block, cost.moves, states, state)
    parts: list[Journey] = list(run(own, views, [slice(*edge) for edge in edges]))
    return reduce(Journey.joined, parts).among(states)


def _journey_in_block(
    moves: Moves, states: Indices, state: int, view: View, block: slice
) -> Journey:
    """What follows the order of `state` in a block of futures, states numbered as in `states`."""
    place = np.zeros(int(states.max()) + 1, dtype=np.intp)
    place[states] = np.arange(len(states))
    reached = place[path_through(moves_after_order(moves, state)[..., block], state, view.stay)]

    def choosing(periods: range, _known: Floats, _charges: Charges) -> Indices:
        # The walk looks at its own state alone.
        there = reached[periods.start : periods.stop].ravel()
        return np.broadcast_to(there, (len(states), len(there)))

    return journey_along(view, decisions_by(view, choosing), int(place[state]))


def remembered_journey(world: World, cost: ClusterCost, state: int, run: Mapper) -> Journey:
    """What the learned policy does with `state` in every future, kept from then on.

    As `cluster.journey_of_state`; of a list of packages nothing is kept.
    """
    if cost.journeys is not None:
        return journey_of_state(world, cost, state, run)

    def make() -> Arrays:
        found = journey_from_moves(world, cost, state, run)
        return {each.name: getattr(found, each.name) for each in fields(found)}

    name = content_name(
        "journey", swept_name(world, cost.lattice), policy_content(cost.policy), state
    )
    return Journey(**remembered_arrays(name, make))


def policy_content(policy: Policy) -> tuple[object, ...]:
    """The content of a policy: what it looks at hangs on lattice and scenario."""
    return policy.corrections, policy.ruled
