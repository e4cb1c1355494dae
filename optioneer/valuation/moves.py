"""The best set of retrofits at one date, for every state of a lattice at once.

Prices of several retrofits add up, so the best set is a running minimum along each slot's axis;
call-outs are added once afterwards, for each set of visits that could be used.
"""

import math
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, combinations, groupby
from typing import Any

import numpy as np
from numpy.typing import DTypeLike, NDArray

from optioneer.valuation.lattice import Indices, Lattice, Target
from optioneer.valuation.timeline import Floats
from optioneer.valuation.view import Charges

Numbers = NDArray[Any]
"""Costs as float64, or as packed int64; charges come in the same form."""

_SUM_BITS = 60
"""Bits for a packed cost: two less than an int64 holds, so that sums stay inside."""


@dataclass(frozen=True)
class Choice:
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
    moved = _scratch("moved", value.shape, value.dtype)
    for visits, charge in _visit_sets(lattice, charges):
        np.copyto(moved, value)
        for slot in _slots(lattice, charges, visits):
            slot.lower(moved)
        if charge:
            moved += charge
        np.minimum(best, moved, out=best)
    return best


def best_choice(lattice: Lattice, charges: Charges, estimate: Floats) -> Choice:
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
    packed >>= bits
    best >>= bits
    best -= taken(packed, state)
    return Choice(state, best / scale)


def taken(values: Numbers, state: Indices) -> Numbers:
    """Of each future, the value at the given state, shape (P, n).

    Parameters
    ----------
    values
        Shape (Q, n).
    state
        Row to take in each column, shape (P, n).
    """
    n = values.shape[-1]
    # The rows are known to exist; "clip" only spares numpy the check.
    found: Numbers = values.ravel().take(state * n + np.arange(n), mode="clip")
    return found


def _finest_unit(charges: Charges, estimate: Floats, bits: int) -> float:
    """Units per money such that no sum of costs exceeds 2**bits."""
    largest = float(max(estimate.max(), -estimate.min(), 1.0)) + sum(charges.visits)
    for plain, eased in zip(charges.plain, charges.eased, strict=True):
        largest += float(plain.max()) + (0.0 if eased is None else float(eased.max()))
    return math.ldexp(1.0, bits - 1 - math.frexp(largest)[1])


def _packed(lattice: Lattice, estimate: Floats, scale: float, bits: int) -> NDArray[np.int64]:
    units = np.rint(estimate * scale).astype(np.int64)
    units[~lattice.valid] = 1 << (_SUM_BITS - bits)
    units <<= bits
    units |= np.arange(lattice.size)[:, None]
    return units


def _packed_charges(charges: Charges, scale: float, bits: int) -> Charges:
    def packed(money: Floats) -> NDArray[Any]:
        return np.rint(money * scale).astype(np.int64) << bits

    return Charges(
        plain=tuple(packed(plain) for plain in charges.plain),
        eased=tuple(None if eased is None else packed(eased) for eased in charges.eased),
        visits=tuple(round(visit * scale) << bits for visit in charges.visits),
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


def _visit_sets(lattice: Lattice, charges: Charges) -> Iterator[tuple[frozenset[int], float]]:
    """Sets of visits that may be called out, each with its charge; the empty set first.

    Moves that need no visit, or one that costs nothing, are possible in every set.
    """
    used = sorted({target.visit for target in lattice.targets if target.visit >= 0})
    free = frozenset(visit for visit in used if charges.visits[visit] == 0)
    dear = [visit for visit in used if visit not in free]
    unbound = any(target.visit < 0 or target.visit in free for target in lattice.targets)
    for called in chain.from_iterable(combinations(dear, size) for size in range(len(dear) + 1)):
        if called or unbound:
            yield free.union(called, {-1}), sum(charges.visits[visit] for visit in called)


def _slots(lattice: Lattice, charges: Charges, visits: frozenset[int]) -> Iterator["_Slot"]:
    """Retrofits that `visits` allow, slot by slot, in the order of the sweep."""
    moves = (
        _Move(target, plain, eased)
        for target, plain, eased in zip(lattice.targets, charges.plain, charges.eased, strict=True)
        if target.visit in visits
    )
    for axis, members in groupby(moves, key=lambda move: move.target.axis):
        yield _Slot(lattice.shape, axis, tuple(members))


@dataclass(frozen=True)
class _Move:
    """A retrofit with its charges, shape (n,) each."""

    target: Target
    plain: Numbers
    eased: Numbers | None

    def eased_from(self, level: int) -> Numbers | None:
        """Its charge from `level` of its own slot, if that level eases it."""
        easing = self.target.easing
        if easing is None or (easing.axis, easing.level) != (self.target.axis, level):
            return None
        return self.eased


@dataclass(frozen=True)
class _Slot:
    """The retrofits of one slot, for grids of shape (P, n)."""

    shape: tuple[int, ...]
    axis: int
    moves: tuple[_Move, ...]

    def _split(self, grid: Numbers) -> Numbers:
        """`grid` as (states of the slots before, levels here, states after, futures)."""
        before = math.prod(self.shape[: self.axis])
        return grid.reshape(before, self.shape[self.axis], -1, grid.shape[-1])

    def lower(self, grid: Numbers) -> None:
        """Running minimum of `grid` along the slot, in place."""
        split = self._split(grid)
        reached = self._all_reached(split)
        for level in range(split.shape[1]):
            here = split[:, level]
            for i in self._leaving(level):
                np.minimum(here, self._from(level, split, i, reached[i]), out=here)

    def _all_reached(self, split: Numbers) -> Numbers:
        """Costs of all moves before any is made, as a slot moves at most once at a date."""
        before, _, after, n = split.shape
        reached = _scratch("reached", (len(self.moves), before, after, n), split.dtype)
        for out, move in zip(reached, self.moves, strict=True):
            self._reach(split, move, out)
        return reached

    def _leaving(self, level: int) -> list[int]:
        return [i for i, move in enumerate(self.moves) if move.target.level != level]

    def _from(self, level: int, split: NDArray[Any], i: int, reached: NDArray[Any]) -> NDArray[Any]:
        eased = self.moves[i].eased_from(level)
        if eased is None:
            return reached
        cost: Numbers = split[:, self.moves[i].target.level] + eased
        return cost

    def _reach(self, split: Numbers, move: _Move, out: Numbers) -> None:
        """Cost of `move` where no level of its own slot eases it, shape (before, after, n)."""
        there = split[:, move.target.level]
        np.add(there, move.plain, out=out)
        easing = move.target.easing
        if move.eased is None or easing is None or easing.axis == self.axis:
            return
        if easing.level < self.shape[easing.axis]:
            rest = self.shape[: self.axis] + self.shape[self.axis + 1 :]
            full = (*rest, there.shape[-1])
            before = easing.axis - (easing.axis > self.axis)
            where: tuple[slice | int, ...] = (*[slice(None)] * before, easing.level)
            np.add(there.reshape(full)[where], move.eased, out=out.reshape(full)[where])
