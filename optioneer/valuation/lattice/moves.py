"""The best set of retrofits at one date, for every state of a lattice at once.

Prices of several retrofits add up, so the best set is a running minimum along each slot's axis;
call-outs are added once afterwards, for each set of visits that could be used.
"""

import math
import threading
from dataclasses import dataclass
from functools import reduce
from operator import add
from typing import Any

import numpy as np
from numpy.typing import DTypeLike, NDArray

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
            (slot,) = stage[0].slots
            _lower(lattice, _with_call_outs(charges, stage[0]), slot, best)
        else:
            _best_visits(lattice, charges, stage, best)


def _with_call_outs(charges: Charges, visits: VisitSet) -> Charges:
    """Charges of the one slot of `visits`, its call-outs included."""
    if not visits.called:
        return charges
    called = _call_outs(charges, visits)
    plain, eased = list(charges.plain), list(charges.eased)
    for i in visits.slots[0]:
        easier = eased[i]
        plain[i] = plain[i] + called
        eased[i] = None if easier is None else easier + called
    return Charges(tuple(plain), tuple(eased), charges.visits)


def _call_outs(charges: Charges, visits: VisitSet) -> Numbers | float:
    """What the visits that are called out cost together; one at least is."""
    total: Numbers | float = reduce(add, (charges.visits[visit] for visit in visits.called))
    return total


def _best_visits(
    lattice: Lattice, charges: Charges, stage: tuple[VisitSet, ...], best: Numbers
) -> None:
    """Lowers `best`, shape (P, n), to the least cost over the visit sets of a stage, in place."""
    moved = _scratch("moved", best.shape, best.dtype)
    start = best
    if len(stage) > 1:
        start = _scratch("before", best.shape, best.dtype)
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
    bits = max(lattice.size - 1, 1).bit_length()
    scale = _finest_unit(charges, estimate, _SUM_BITS - bits)
    packed = _packed(lattice, estimate, scale, bits)
    best = best_moves(lattice, _packed_charges(charges, scale, bits), packed)
    state: Indices = best & ((1 << bits) - 1)
    best -= values_at(packed, state)
    best >>= bits
    return BestMoves(state, best * (1.0 / scale))  # a power of two: exact


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
    def packed(money: Floats | float) -> NDArray[Any]:
        whole = np.asarray(np.multiply(money, scale))
        units: NDArray[Any] = np.rint(whole, out=whole).astype(np.int64)
        units <<= bits
        return units

    return Charges(
        plain=tuple(packed(plain) for plain in charges.plain),
        eased=tuple(None if eased is None else packed(eased) for eased in charges.eased),
        visits=tuple(packed(visit) for visit in charges.visits),
    )


_OWN = threading.local()


def _scratch(use: str, shape: tuple[int, ...], kind: DTypeLike) -> NDArray[Any]:
    """An array of this thread for one `use` at a time, its content left from before.

    Sweeps need the same few arrays again and again; fresh ones would cost as much as the sums.
    """
    dtype = np.dtype(kind)
    size = math.prod(shape) * dtype.itemsize
    held = getattr(_OWN, use, None)
    if held is None or held.nbytes < size:
        held = np.empty(size, dtype=np.uint8)
        setattr(_OWN, use, held)
    return held[:size].view(dtype).reshape(shape)


def _lower(lattice: Lattice, charges: Charges, slot: tuple[int, ...], grid: Numbers) -> None:
    """Running minimum of `grid`, shape (P, n), over the retrofits of one slot, in place.

    All costs are worked out before any is used: a slot moves at most once at a date.
    """
    moves = lattice.slot_moves[slot]
    reached = _scratch("reached", (moves.size, grid.shape[1]), grid.dtype)
    for reach in moves.reaches:
        easier = charges.eased[reach.target]
        charge = easier if reach.eased and easier is not None else charges.plain[reach.target]
        for box in reach.boxes:
            np.add(box.one.of(grid), charge, out=box.other.of(reached))
    for box in moves.lowered:
        here = box.one.of(grid)
        np.minimum(here, box.other.of(reached), out=here)
