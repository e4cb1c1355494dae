"""What packages have fitted later and pay for it, from moves that are kept: little of a journey."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats
from optioneer.valuation.cache.paths import moves_after_order, path_through
from optioneer.valuation.lattice.charges import Charges
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.cluster import ClusterCost, World, journey_of_state
from optioneer.valuation.timing.journey import bill_of, made_retrofits
from optioneer.valuation.timing.policy import Mapper
from optioneer.valuation.timing.sweep import Moves


@dataclass(frozen=True)
class Fittings:
    """What a package has fitted after the order, n futures.

    Parameters
    ----------
    fitted_in, paid
        As of a `Journey`, shape (targets, n).
    owned
        State during each period, shape (T, n); empty where the states are no lattice.
    """

    fitted_in: NDArray[np.int32]
    paid: Floats
    owned: NDArray[Any]


def fittings(
    world: World, cost: ClusterCost, states: Sequence[int], run: Mapper
) -> Mapping[int, Fittings]:
    """What each of some states has fitted; parameters as for `lives.journey_from_moves`.

    The same as of its journey, to the last bit, without what it costs.
    """
    if cost.moves is None or cost.journeys is not None:
        lived = {state: journey_of_state(world, cost, state, run) for state in states}
        return {s: Fittings(one.fitted_in, one.paid, one.owned) for s, one in lived.items()}
    views = world.views(cost.lattice)
    edges = pairwise(np.cumsum([0, *(view.futures.count for view in views)]))
    own = partial(_in_block, cost.moves, states)
    blocks = list(run(own, views, [slice(*edge) for edge in edges]))
    return {
        state: _joined([block[place] for block in blocks]) for place, state in enumerate(states)
    }


def _in_block(moves: Moves, states: Sequence[int], view: View, block: slice) -> list[Fittings]:
    charges = view.charges(range(1, view.timeline.periods))
    after = ((moves_after_order(moves, state)[..., block], state) for state in states)
    return [_along(view, charges, path_through(*each, view.stay)) for each in after]


def _along(view: View, charges: Charges, path: NDArray[Any]) -> Fittings:
    """What is fitted on a path of states after the moves of each period, shape (T, n)."""
    lattice, (periods, count) = view.lattice, path.shape
    column, before = np.nonzero((path[1:] != path[:-1]).T)  # by time in each future
    states = path[before, column], path[before + 1, column]
    made = made_retrofits(lattice, *states)
    bill = bill_of(lattice, charges.of(before * count + column), *states, made)
    fitted_in = np.full((len(made), count), periods, dtype=np.int32)
    for first, these in zip(fitted_in, made, strict=True):
        np.minimum.at(first, column[these], before[these] + 1)
    paid = np.array([np.bincount(column, weights=each, minlength=count) for each in bill])
    return Fittings(fitted_in, paid, np.concatenate([path[:1], path[:-1]]))


def _joined(blocks: Sequence[Fittings]) -> Fittings:
    """The futures of all blocks."""
    return Fittings(
        np.concatenate([block.fitted_in for block in blocks], axis=-1),
        np.concatenate([block.paid for block in blocks], axis=-1),
        np.concatenate([block.owned for block in blocks], axis=-1),
    )
