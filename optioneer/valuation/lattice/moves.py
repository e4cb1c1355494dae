"""The best set of retrofits at one date, for every state of a lattice at once.

Prices of several retrofits add up, so the best set is a running minimum along each slot's axis;
call-outs are added once afterwards, for each set of visits that could be used.
"""

import math
import threading
from dataclasses import dataclass
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
    for stage in lattice.stages:
        if len(stage) == 1 and len(stage[0].slots) == 1:
            # A slot moves at most once, so that its own charges can hold the call-out.
            (slot,) = stage[0].slots
            _lower(lattice, _with_call_outs(charges, stage[0]), slot, best)
        else:
            _best_visits(lattice, charges, stage, best)
    return best


def _with_call_outs(charges: Charges, visits: VisitSet) -> Charges:
    """Charges of the one slot of `visits`, its call-outs included."""
    if not visits.called:
        return charges
    called = sum(charges.visits[visit] for visit in visits.called)
    plain, eased = list(charges.plain), list(charges.eased)
    for i in visits.slots[0]:
        easier = eased[i]
        plain[i] = plain[i] + called
        eased[i] = None if easier is None else easier + called
    return Charges(tuple(plain), tuple(eased), charges.visits)


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
            moved += sum(charges.visits[visit] for visit in visits.called)
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
    return BestMoves(state, best / scale)


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
        return np.rint(np.multiply(money, scale)).astype(np.int64) << bits

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

    Notes
    -----
    A retrofit costs the same from every level of its slot but the one that eases it; from its own
    level it only adds its charges, which are never below 0. So one least cost of all of them serves
    every level that eases none, and the work grows with the levels, not with their square.
    """
    axis = lattice.targets[slot[0]].axis
    before = math.prod(lattice.shape[:axis])
    split = grid.reshape(before, lattice.shape[axis], -1, grid.shape[-1])
    easing = _easing_levels(lattice, charges, slot)
    # All costs are worked out before any is used: a slot moves at most once at a date.
    rows = len(slot) if easing else 1
    reached = _scratch("reached", (rows, before, *split.shape[2:]), grid.dtype)
    if len(slot) == 1 and not easing:
        _reach(lattice, charges, slot[0], split, reached[0])
        for level in {*range(split.shape[1])} - {lattice.targets[slot[0]].level}:
            np.minimum(split[:, level], reached[0], out=split[:, level])
        return
    least = _scratch("least", reached.shape[1:], grid.dtype)
    for k, i in enumerate(slot):
        out = reached[k % rows]
        _reach(lattice, charges, i, split, out)
        np.minimum(least, out, out=least) if k else np.copyto(least, out)
    from_easing = {
        level: _least_from(lattice, charges, slot, level, split, reached) for level in easing
    }
    for level in range(split.shape[1]):
        here = split[:, level]
        np.minimum(here, from_easing.get(level, least), out=here)


def _easing_levels(lattice: Lattice, charges: Charges, slot: tuple[int, ...]) -> set[int]:
    """Levels of a slot that ease a retrofit of the same slot."""
    targets = [lattice.targets[i] for i in slot if charges.eased[i] is not None]
    eased = {t.easing.level for t in targets if t.easing and t.easing.axis == t.axis}
    return {level for level in eased if level < lattice.shape[targets[0].axis]}


def _least_from(
    lattice: Lattice,
    charges: Charges,
    slot: tuple[int, ...],
    level: int,
    split: Numbers,
    reached: Numbers,
) -> Numbers:
    """Least cost of the retrofits of a slot from a level that eases some, (before, after, n)."""
    others = (
        (i, out) for i, out in zip(slot, reached, strict=True) if lattice.targets[i].level != level
    )
    costs = [_from_level(lattice, charges, i, level, split, out) for i, out in others]
    least: Numbers = np.minimum.reduce(costs) if costs else split[:, level]
    return least


def _reach(lattice: Lattice, charges: Charges, i: int, split: Numbers, out: Numbers) -> None:
    """Cost of retrofit `i` where no level of its own slot eases it, shape (before, after, n)."""
    target, eased = lattice.targets[i], charges.eased[i]
    there = split[:, target.level]
    np.add(there, charges.plain[i], out=out)
    easing = target.easing
    if eased is None or easing is None or easing.axis == target.axis:
        return
    if easing.level < lattice.shape[easing.axis]:
        rest = lattice.shape[: target.axis] + lattice.shape[target.axis + 1 :]
        full = (*rest, there.shape[-1])
        before = easing.axis - (easing.axis > target.axis)
        where: tuple[slice | int, ...] = (*[slice(None)] * before, easing.level)
        np.add(there.reshape(full)[where], eased, out=out.reshape(full)[where])


def _from_level(
    lattice: Lattice, charges: Charges, i: int, level: int, split: Numbers, reached: Numbers
) -> Numbers:
    """Cost of retrofit `i` from `level` of its slot, which may be the one that eases it."""
    target, eased = lattice.targets[i], charges.eased[i]
    easing = target.easing
    if eased is None or easing is None or (easing.axis, easing.level) != (target.axis, level):
        return reached
    cost: Numbers = split[:, target.level] + eased
    return cost
