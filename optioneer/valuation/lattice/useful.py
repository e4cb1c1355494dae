"""States of a lattice that any package can be, or pass through between two moves of one date."""

from collections.abc import Sequence

import numpy as np

from optioneer.arrays import Bools, Indices
from optioneer.valuation.lattice.lattice import Lattice


def with_useful_states(lattice: Lattice) -> Lattice:
    """The same lattice without combinations of levels that nothing ever leads through.

    Requirements and exclusions leave a part of the combinations; of the others those stay that
    `moves.best_moves` passes through on its way from one valid state to another, slot by slot.
    """
    if lattice.valid.all():
        return lattice
    return lattice.among(np.flatnonzero(_useful(lattice)))


def states_from(lattice: Lattice, states: Sequence[int]) -> Indices:
    """States that retrofits lead to from some, themselves included, rising."""
    there, count = np.isin(np.arange(lattice.size), states), 0
    ways = [lattice.moves_to(i)[:2] for i in range(len(lattice.targets))]
    while count < there.sum():
        count = int(there.sum())
        for before, after in ways:
            there[after[there[before]]] = True
    return np.flatnonzero(there)


def _useful(lattice: Lattice) -> Bools:
    slots = [slot for stage in lattice.stages for visits in stage for slot in visits.slots]
    after = [_after(lattice, slot) for slot in slots]
    # From which states something valid is reached with the first so many slots of the sweep.
    leading = [lattice.valid]
    for each in after:
        leading.append(leading[-1] | leading[-1][each].any(axis=0))
    useful, asked = lattice.valid.copy(), lattice.valid.copy()
    for each, able in zip(reversed(after), reversed(leading[:-1]), strict=True):
        asked[each[:, asked].ravel()] = True
        useful |= asked & able
    return useful


def _after(lattice: Lattice, slot: tuple[int, ...]) -> Indices:
    """State after each retrofit of a slot, the state itself where there is none, (slot, P)."""
    found = np.tile(np.arange(lattice.size), (len(slot), 1))
    for own, i in zip(found, slot, strict=True):
        before, after, _ = lattice.moves_to(i)
        own[before] = after
    return found
