"""The best set of retrofits at one date, for every state of a lattice at once.

Prices of several retrofits add up, so the best set is a running minimum along each slot's axis;
call-outs are added once afterwards, for each set of visits that could be used.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, combinations, groupby
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from optioneer.valuation.lattice import Lattice, Target
from optioneer.valuation.timeline import Floats
from optioneer.valuation.view import Charges

Payload = TypeVar("Payload", Floats, NDArray[np.int32])


@dataclass(frozen=True)
class _Priced:
    """A target with its charges."""

    target: Target
    plain: Floats
    eased: Floats | None


def best_moves(lattice: Lattice, charges: Charges, value: Floats) -> Floats:
    """Least cost over all sets of retrofits from each state, shape (P, n).

    Parameters
    ----------
    lattice
        The states and their retrofits.
    charges
        What they cost in this period.
    value
        Cost after the retrofits of each state, infinite where it is not valid, shape (P, n);
        not changed.
    """
    best = value
    for visits, charge in _visit_sets(lattice, charges):
        moved = value.copy()
        grid = moved.reshape(*lattice.shape, -1)
        for slot in _priced_slots(lattice, charges, visits):
            _lower(grid, slot)
        if charge:
            moved += charge
        best = moved if best is value and not charge else np.minimum(best, moved, out=moved)
    return best


def chosen_moves(
    lattice: Lattice, charges: Charges, estimate: Floats, payload: Payload, *, paid: bool
) -> Payload:
    """What becomes of each state when the set of retrofits with the least `estimate` is chosen.

    Parameters
    ----------
    lattice, charges
        As for `best_moves`.
    estimate
        Estimated cost after the retrofits, infinite where not valid, shape (P, n); not changed.
    payload
        Carried along with the choice, shape (P, n): realised costs, or states; not changed.
    paid
        Whether charges are added to the payload.

    Returns
    -------
    ndarray
        Payload of the state moved to, plus what the move costs if `paid`, shape (P, n).
    """
    best, carried = estimate.copy(), payload.copy()
    for visits, charge in _visit_sets(lattice, charges):
        moved, load = estimate.copy(), payload.copy()
        grid = moved.reshape(*lattice.shape, -1)
        cargo = load.reshape(*lattice.shape, -1)
        for slot in _priced_slots(lattice, charges, visits):
            _choose(grid, cargo, slot, paid=paid)
        moved += charge
        better = moved < best
        np.copyto(best, moved, where=better)
        if paid:
            np.add(load, charge, out=load)
        np.copyto(carried, load, where=better)
    return carried


def _visit_sets(lattice: Lattice, charges: Charges) -> Iterator[tuple[frozenset[int], float]]:
    """Sets of visits that may be called out, each with its charge; the empty set first."""
    used = sorted({target.visit for target in lattice.targets if target.visit >= 0})
    free = frozenset(visit for visit in used if charges.visits[visit] == 0.0)
    dear = [visit for visit in used if visit not in free]
    unbound = any(target.visit < 0 or target.visit in free for target in lattice.targets)
    sets = chain.from_iterable(combinations(dear, size) for size in range(len(dear) + 1))
    for called in sets:
        if called or unbound:
            yield free.union(called, {-1}), sum(charges.visits[visit] for visit in called)


def _priced_slots(
    lattice: Lattice, charges: Charges, visits: frozenset[int]
) -> Iterator[list[_Priced]]:
    """Retrofits that `visits` allow, slot by slot, in the order of the sweep."""
    priced = (
        _Priced(target, plain, eased)
        for target, plain, eased in zip(lattice.targets, charges.plain, charges.eased, strict=True)
        if target.visit in visits
    )
    for _, slot in groupby(priced, key=lambda move: move.target.axis):
        yield list(slot)


def _at(axis: int, level: int) -> tuple[slice | int, ...]:
    return (*(slice(None) for _ in range(axis)), level)


def _elsewhere(move: _Priced) -> tuple[slice | int, ...] | None:
    """Where another slot's level eases `move`, as an index into a grid without its own axis."""
    easing = move.target.easing
    if easing is None or easing.axis == move.target.axis:
        return None
    return _at(easing.axis - (easing.axis > move.target.axis), easing.level)


def _candidate(base: Payload, move: _Priced) -> Payload:
    """`base` plus the charge of `move`, for a grid without the axis of its slot."""
    reached = np.add(base, move.plain, dtype=base.dtype)
    where = _elsewhere(move)
    if where is not None and move.eased is not None:
        axis = len(where) - 1
        if move.target.easing is not None and move.target.easing.level < base.shape[axis]:
            np.add(base[where], move.eased, out=reached[where])
    return reached


def _eased_from(move: _Priced, level: int) -> bool:
    """Whether `level` of the same slot is the one that eases `move`."""
    easing = move.target.easing
    return easing is not None and easing.axis == move.target.axis and easing.level == level


def _lower(grid: Floats, slot: list[_Priced]) -> None:
    """Running minimum of `grid` along the axis of `slot`, in place."""
    axis = slot[0].target.axis
    there = [grid[_at(axis, move.target.level)] for move in slot]
    reached = [_candidate(base, move) for base, move in zip(there, slot, strict=True)]
    eased = _from_inside(grid, slot)
    for level in range(grid.shape[axis]):
        here = grid[_at(axis, level)]
        for i, move in enumerate(slot):
            if move.target.level != level:
                candidate = eased.get((level, i), reached[i])
                np.minimum(here, candidate, out=here)


def _from_inside(grid: Floats, slot: list[_Priced]) -> dict[tuple[int, int], Floats]:
    """Costs of moves eased by a level of their own slot, by that level and the move's index."""
    axis = slot[0].target.axis
    found = {}
    for i, move in enumerate(slot):
        for level in range(grid.shape[axis]):
            if move.eased is not None and _eased_from(move, level):
                found[level, i] = grid[_at(axis, move.target.level)] + move.eased
    return found


def _choose(grid: Floats, cargo: NDArray[Any], slot: list[_Priced], *, paid: bool) -> None:
    """`_lower`, with `cargo` carried along, plus the charges if `paid`; both in place."""
    axis = slot[0].target.axis
    reached = [_candidate(grid[_at(axis, move.target.level)], move) for move in slot]
    loads = [cargo[_at(axis, move.target.level)].copy() for move in slot]
    paid_loads = [_candidate(x, move) if paid else x for x, move in zip(loads, slot, strict=True)]
    eased = _from_inside(grid, slot)
    for level in range(grid.shape[axis]):
        here, carried = grid[_at(axis, level)], cargo[_at(axis, level)]
        for i, move in enumerate(slot):
            if move.target.level == level:
                continue
            candidate, load = reached[i], paid_loads[i]
            if (level, i) in eased:
                candidate = eased[level, i]
                load = loads[i] + move.eased if paid and move.eased is not None else loads[i]
            better = candidate < here
            np.copyto(here, candidate, where=better)
            np.copyto(carried, load, where=better)
