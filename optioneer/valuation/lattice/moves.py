"""The best set of retrofits at one date, for every state of a lattice at once.

Prices of several retrofits add up, so the best set is a running minimum along each slot's axis;
call-outs are added once afterwards, for each set of visits that could be used.
"""

import math
import threading
from dataclasses import dataclass
from functools import reduce
from operator import add
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats, Indices
from optioneer.valuation.lattice.charges import Charges
from optioneer.valuation.lattice.lattice import Lattice, VisitSet

Numbers = NDArray[Any]
"""Costs as float64, or as packed int64; charges come in the same form."""

_SUM_BITS = 60
"""Bits for a packed cost: two less than an int64 holds, so that sums stay inside."""


@dataclass(frozen=True)
class BestMoves:
    """What is decided at one date in each state and future.

    Parameters
    ----------
    state
        State moved to, shape (P, n); the state itself where nothing is fitted.
    paid
        What the retrofits cost, call-outs included, shape (P, n) [money].
    """

    state: Indices
    paid: Floats


def best_moves(lattice: Lattice, charges: Charges, value: Numbers) -> Numbers:
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
    best = value.copy()
    lower_to_best(lattice, charges, best)
    return best


def lower_to_best(lattice: Lattice, charges: Charges, best: Numbers) -> None:
    """The same in place: from the costs after the retrofits to the least before them."""
    for stage in lattice.stages:
        if len(stage) == 1 and len(stage[0].slots) == 1:
            # A slot moves at most once, so that its own charges can hold the call-out.
            called = _call_outs(charges, stage[0]) if stage[0].called else None
            _lower(lattice, charges, stage[0].slots[0], best, called)
        else:
            _best_visits(lattice, charges, stage, best)


def _call_outs(charges: Charges, visits: VisitSet) -> Numbers:
    """What the visits that are called out cost together; one at least is."""
    return reduce(add, (charges.visits[visit] for visit in visits.called))


def _best_visits(
    lattice: Lattice, charges: Charges, stage: tuple[VisitSet, ...], best: Numbers
) -> None:
    """Lowers `best`, shape (P, n), to the least cost over the visit sets of a stage, in place."""
    moved = _scratch("moved", best.shape, best.dtype.type)
    start = best
    if len(stage) > 1:
        start = _scratch("before", best.shape, best.dtype.type)
        np.copyto(start, best)
    for visits in stage:
        np.copyto(moved, start)
        for slot in visits.slots:
            _lower(lattice, charges, slot, moved)
        if visits.called:
            moved += _call_outs(charges, visits)
        np.minimum(best, moved, out=best)


def best_choice(lattice: Lattice, charges: Charges, estimate: Floats) -> BestMoves:
    """The set of retrofits with the least estimated cost from each state.

    Parameters
    ----------
    lattice, charges
        As for `best_moves`.
    estimate
        Finite estimate of the cost after the retrofits of each state, shape (P, n) [money];
        not looked at where the state is not valid. Not changed.

    Notes
    -----
    Costs become integers whose lowest bits hold the number of their state, so that the running
    minimum carries the choice along. The unit of money is the finest power of two that fits; for
    costs of a million it is below a millionth. Ties go to the state with the lower number.
    """
    found = _chosen(lattice, charges, estimate)
    best, state = found.best, found.state
    best -= values_at(found.packed, state)
    best >>= found.bits
    return BestMoves(state, best * (1.0 / found.scale))  # a power of two: exact


def best_states(lattice: Lattice, charges: Charges, estimate: Floats) -> Indices:
    """The states that `best_choice` moves to, shape (P, n)."""
    return _chosen(lattice, charges, estimate).state


class _Chosen(NamedTuple):
    """Packed costs of each state before and after the best retrofits, and where these lead."""

    packed: NDArray[np.int64]
    best: Numbers
    state: Indices
    scale: float
    bits: int


def _chosen(lattice: Lattice, charges: Charges, estimate: Floats) -> _Chosen:
    bits = max(lattice.size - 1, 1).bit_length()
    scale = _finest_unit(charges, estimate, _SUM_BITS - bits)
    packed = _packed(lattice, estimate, scale, bits)
    best = best_moves(lattice, _packed_charges(charges, scale, bits), packed)
    return _Chosen(packed, best, best & ((1 << bits) - 1), scale, bits)


def values_at(values: Numbers, state: Indices) -> Numbers:
    """Of each future, the value at the given state, shape (P, n).

    Parameters
    ----------
    values
        Shape (Q, n).
    state
        Row to take in each column, shape (P, n).
    """
    n = values.shape[-1]
    place = np.multiply(state, n, out=_scratch("place", state.shape, np.intp))
    place += np.arange(n)
    # The rows are known to exist; "clip" only spares numpy the check.
    found: Numbers = values.ravel().take(place, mode="clip")
    return found


def _finest_unit(charges: Charges, estimate: Floats, bits: int) -> float:
    """Units per money such that no sum of costs exceeds 2**bits."""
    largest = float(max(estimate.max(), -estimate.min(), 1.0)) + charges.largest
    return math.ldexp(1.0, bits - 1 - math.frexp(largest)[1])


def _packed(lattice: Lattice, estimate: Floats, scale: float, bits: int) -> NDArray[np.int64]:
    whole = np.multiply(estimate, scale, out=_scratch("whole", estimate.shape, np.float64))
    np.rint(whole, out=whole)
    units = _scratch("units", estimate.shape, np.int64)
    np.copyto(units, whole, casting="unsafe")
    units[~lattice.valid] = 1 << (_SUM_BITS - bits)
    units <<= bits
    units |= np.arange(lattice.size)[:, None]
    return units


def _packed_charges(charges: Charges, scale: float, bits: int) -> Charges:
    whole = np.multiply(
        charges.table, scale, out=_scratch("charged", charges.table.shape, np.float64)
    )
    units = np.rint(whole, out=whole).astype(np.int64)
    units <<= bits
    return Charges(units, charges.easier)


class _Own(threading.local):
    """What this thread sweeps in: one array for each use, and how it has been looked at."""

    def __init__(self) -> None:
        self.held: dict[str, NDArray[np.uint8]] = {}
        self.seen: dict[tuple[str, tuple[int, ...], type], NDArray[Any]] = {}


_OWN = _Own()
_MOST_SEEN = 256


def _scratch(use: str, shape: tuple[int, ...], kind: type) -> NDArray[Any]:
    """An array of this thread for one `use` at a time, its content left from before.

    Sweeps need the same few arrays again and again; fresh ones would cost as much as the sums.
    """
    found = _OWN.seen.get((use, shape, kind))
    return _seen_anew(use, shape, kind) if found is None else found


def _seen_anew(use: str, shape: tuple[int, ...], kind: type) -> NDArray[Any]:
    dtype = np.dtype(kind)
    size, held = math.prod(shape) * dtype.itemsize, _OWN.held.get(use)
    if held is None or held.nbytes < size:
        held = _OWN.held[use] = np.empty(size, dtype=np.uint8)
        _OWN.seen.clear()  # else what was too small would be held for good
    if len(_OWN.seen) > _MOST_SEEN:
        _OWN.seen.clear()
    found = _OWN.seen[use, shape, kind] = held[:size].view(dtype).reshape(shape)
    return found


def _lower(
    lattice: Lattice,
    charges: Charges,
    slot: tuple[int, ...],
    grid: Numbers,
    called: Numbers | None = None,
) -> None:
    """Running minimum of `grid`, shape (P, n), over the retrofits of one slot, in place.

    All costs are worked out before any is used: a slot moves at most once at a date. `called` is
    added to each charge.
    """
    moves = lattice.slot_moves[slot]
    reached = _scratch("reached", (moves.size, grid.shape[1]), grid.dtype.type)
    for reach in moves.reaches:
        charge = charges.of_target(reach.target, eased=reach.eased)
        if called is not None:
            charge = charge + called
        for box in reach.boxes:
            np.add(box.one.of(grid), charge, out=box.other.of(reached))
    for box in moves.lowered:
        here = box.one.of(grid)
        np.minimum(here, box.other.of(reached), out=here)
