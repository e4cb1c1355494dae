"""The lattice: every package of one cluster of slots, an axis a slot."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from graphlib import CycleError, TopologicalSorter
from itertools import chain, combinations, groupby

import numpy as np

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.hours import WaySets
from optioneer.valuation.lattice.boxes import Lead, SlotMoves, slot_moves
from optioneer.valuation.worlds.turns import Turns


@dataclass(frozen=True)
class Easing:
    """A second multiplier that applies once another level is fitted.

    Parameters
    ----------
    axis, level
        Where the easing option sits.
    bounds
        Low, likely, high of the eased multiplier, shape (3,).
    """

    axis: int
    level: int
    bounds: Floats


@dataclass(frozen=True)
class FirmPrice:
    """What a retrofit costs at most for some time, whatever prices do: put in writing.

    Parameters
    ----------
    price
        Without call-out and standstill [money of the day it is paid].
    years
        So long after the order [years].
    """

    price: float
    years: float


@dataclass(frozen=True)
class Target:
    """A retrofit: a level of a slot that can be moved to after delivery.

    Parameters
    ----------
    axis, level
        The slot and the level in it.
    option
        Index of the option, for its multiplier's quantile.
    price
        What the multiplier counts on [money].
    bounds
        Low, likely, high of the multiplier, shape (3,).
    downtime
        Margin lost to the fitting [money].
    visit
        Index into the lattice's visits; -1 for none.
    easing
        The multiplier once something else is fitted, if any.
    firm
        What it costs at most for some time, if that is in writing.
    """

    axis: int
    level: int
    option: int
    price: float
    bounds: Floats
    downtime: float
    visit: int
    easing: Easing | None = None
    firm: FirmPrice | None = None


@dataclass(frozen=True)
class VisitSet:
    """Visits called out together, and the retrofits that they make possible.

    Parameters
    ----------
    called
        Visits that are charged.
    slots
        Indices of the targets, slot by slot in the order of the sweep.
    """

    called: tuple[int, ...]
    slots: tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class Lattice:
    """All packages of one cluster: P states, one level a slot, in C order.

    Parameters
    ----------
    shape
        Levels of each slot.
    names
        Names of the slots.
    fitted
        Index of the option at each level of each slot, -1 for an empty slot.
    valid
        States that keep every requirement and exclusion, shape (P,).
    price
        Paid for the state at the order beyond the base price, shape (P,) [money]; infinite where
        the state cannot be ordered.
    upkeep
        Shape (P,) [money/year].
    resale
        Value at the horizon, shape (P,) [money].
    streams
        Indices of the streams that this cluster serves, shape (K,).
    lost
        Share of each stream's margin that the state does not earn, shape (P, K).
    targets
        Retrofits; a slot that eases another comes after it.
    visits
        Call-out charges by index [money].
    turns
        Of each visit that serves other clusters too, who pays when; nothing where none does.
    way_sets
        How each state does the streams, where a way takes hours and hours are limited.
    resale_shares
        Shares of prices that come back at the horizon, each once, shape (D,).
    resale_prices
        Prices of which each share comes back, shape (D, P) [money].
    places
        Place of each state among all combinations of levels, rising, shape (P,); none: the states
        are all of them.
    sways
        See `sway`; told where some combinations are left out.
    """

    shape: tuple[int, ...]
    names: tuple[str, ...]
    fitted: tuple[tuple[int, ...], ...]
    valid: Bools
    price: Floats
    upkeep: Floats
    resale: Floats
    streams: Indices
    lost: Floats
    targets: tuple[Target, ...]
    visits: tuple[float, ...]
    turns: tuple[Turns | None, ...] = field(default=(), kw_only=True)
    way_sets: WaySets | None = field(default=None, kw_only=True)
    resale_shares: Floats = field(default_factory=lambda: np.empty(0), kw_only=True)
    resale_prices: Floats = field(default_factory=lambda: np.empty((0, 0)), kw_only=True)
    places: Indices | None = field(default=None, kw_only=True)
    sways: Floats | None = field(default=None, kw_only=True)

    @property
    def size(self) -> int:
        """Number of states P."""
        return self.grid_size if self.places is None else len(self.places)

    @property
    def grid_size(self) -> int:
        """Number of combinations of levels, those that are no states included."""
        return math.prod(self.shape)

    @cached_property
    def levels(self) -> Indices:
        """Level of every slot in every state, shape (slots, P)."""
        if self.places is not None:
            return np.array(np.unravel_index(self.places, self.shape), dtype=np.intp)
        grids = np.indices(self.shape, dtype=np.intp)
        return grids.reshape(len(self.shape), self.size)

    def states_at(self, levels: Indices) -> Indices:
        """State with some levels of the slots, -1 where there is none.

        Parameters
        ----------
        levels
            Shape (slots, n).
        """
        place = np.ravel_multi_index(tuple(levels), self.shape)
        if self.places is None:
            return np.asarray(place, dtype=np.intp)
        found = np.minimum(np.searchsorted(self.places, place), self.size - 1)
        return np.where(self.places[found] == place, found, -1)

    @cached_property
    def sway(self) -> Floats:
        """By how much a slot's level can change the share of a stream that is lost, (slots, K)."""
        if self.sways is not None:
            return self.sways
        by_slot = self.lost.reshape(*self.shape, -1)
        each = [np.ptp(by_slot, axis=axis) for axis in range(len(self.shape))]
        return np.array([np.max(one, axis=tuple(range(one.ndim - 1)), initial=0.0) for one in each])

    @cached_property
    def orderable(self) -> Bools:
        """States that can be ordered, shape (P,)."""
        return np.isfinite(self.price)

    @cached_property
    def stages(self) -> tuple[tuple["VisitSet", ...], ...]:
        """How to go through the retrofits of a date: stage by stage, in each the best visit set.

        Slots whose retrofits all need the same visit can be gone through visit by visit, as long
        as an easing slot comes after those that it eases. Otherwise every set of visits of those
        that hang together is tried as a whole, in one stage.
        """
        by_visit = self._visit_by_visit()
        if by_visit is not None:
            return tuple((stage,) for stage in by_visit)
        return tuple(self._visits_of(calls) for calls in self._called_together())

    def _visits_of(self, calls: frozenset[int]) -> tuple["VisitSet", ...]:
        """Every set of some visits."""
        dear = sorted(call for call in calls if call >= 0)
        sets = chain.from_iterable(combinations(dear, size) for size in range(len(dear) + 1))
        free = calls - set(dear)
        return tuple(self._visit_set((*free, *called)) for called in sets)

    def _called_together(self) -> tuple[frozenset[int], ...]:
        """Visits, -1 for none, in groups that share no slot and no easing."""
        groups: list[frozenset[int]] = []
        ties = [frozenset({self._call(i)}) for i in range(len(self.targets))]
        by_axis: dict[int, frozenset[int]] = {}
        for target, tie in zip(self.targets, ties, strict=True):
            by_axis[target.axis] = by_axis.get(target.axis, frozenset()) | tie
        for target in self.targets:
            tie = by_axis[target.axis]
            if target.easing is not None:
                tie |= by_axis.get(target.easing.axis, frozenset())
            touched = [group for group in groups if group & tie]
            groups = [group for group in groups if not group & tie]
            groups.append(tie.union(*touched))
        return tuple(groups)

    def _call(self, i: int) -> int:
        """The visit that target `i` has to pay for, -1 if none."""
        visit = self.targets[i].visit
        return visit if visit >= 0 and self.visits[visit] > 0.0 else -1

    def _visit_by_visit(self) -> tuple["VisitSet", ...] | None:
        """One set a visit, in an order that fits the sweep; none if there is no such order."""
        calls = [self._call(i) for i in range(len(self.targets))]
        own: dict[int, int] = {}
        for target, call in zip(self.targets, calls, strict=True):
            if own.setdefault(target.axis, call) != call:
                return None
        sorter = TopologicalSorter({call: set[int]() for call in sorted(set(calls))})
        for target, call in zip(self.targets, calls, strict=True):
            if target.easing is not None:
                easing_call = own.get(target.easing.axis, call)
                if easing_call != call:
                    sorter.add(easing_call, call)
        try:
            order = tuple(sorter.static_order())
        except CycleError:
            return None
        return tuple(self._visit_set((call,)) for call in order)

    def _visit_set(self, calls: tuple[int, ...]) -> "VisitSet":
        """The retrofits that need one of `calls`."""
        able = (i for i in range(len(self.targets)) if self._call(i) in calls)
        slots = groupby(able, key=lambda i: self.targets[i].axis)
        return VisitSet(
            called=tuple(call for call in calls if call >= 0),
            slots=tuple(tuple(members) for _, members in slots),
        )

    def moves_to(self, i: int) -> tuple[Indices, Indices, Bools]:
        """States that target `i` leads from, those it leads to, and where it is eased."""
        target, levels = self.targets[i], self.levels.copy()
        levels[target.axis] = target.level
        after = self.states_at(levels)
        before = np.flatnonzero((after >= 0) & (self.levels[target.axis] != target.level))
        after, easing = after[before], target.easing
        if easing is None:
            return before, after, np.zeros(len(before), dtype=bool)
        # A level of its own slot eases while it is still there.
        holder = before if easing.axis == target.axis else after
        return before, after, self.levels[easing.axis][holder] == easing.level

    @cached_property
    def slot_moves(self) -> dict[tuple[int, ...], SlotMoves]:
        """Where the retrofits of each slot lead, by the targets of a slot in `stages`."""
        slots = {slot for stage in self.stages for visits in stage for slot in visits.slots}
        return {slot: slot_moves([*self._leads(slot)]) for slot in slots}

    def _leads(self, slot: tuple[int, ...]) -> Iterator[Lead]:
        for i in slot:
            before, after, eased = self.moves_to(i)
            level = self.levels[self.targets[i].axis][before]
            for easier in (False, True):
                own = eased == easier
                if own.any():
                    yield Lead(i, easier, before[own], after[own], level[own])

    def options(self, state: int) -> tuple[int, ...]:
        """Indices of the options fitted in `state`."""
        held = (self.fitted[axis][level] for axis, level in enumerate(self.levels[:, state]))
        return tuple(option for option in held if option >= 0)

    def holding(self, option: int) -> Bools:
        """States in which `option` is fitted, shape (P,)."""
        mask = np.zeros(self.size, dtype=bool)
        for axis, fitted in enumerate(self.fitted):
            for level, held in enumerate(fitted):
                if held == option:
                    mask |= self.levels[axis] == level
        return mask

    def serving(self, rows: Indices) -> "Lattice":
        """The same lattice with some of its streams only."""
        sets = None if self.way_sets is None or not len(rows) else self.way_sets.serving(rows)
        sways = None if self.sways is None else self.sways[:, rows]
        return replace(
            self, streams=self.streams[rows], lost=self.lost[:, rows], way_sets=sets, sways=sways
        )

    def among(self, states: Indices) -> "Lattice":
        """The same lattice with some of its states only, rising."""
        return replace(
            self,
            valid=self.valid[states],
            price=self.price[states],
            upkeep=self.upkeep[states],
            resale=self.resale[states],
            resale_prices=self.resale_prices[:, states],
            lost=self.lost[states],
            way_sets=None if self.way_sets is None else self.way_sets.of(states),
            places=states if self.places is None else self.places[states],
            sways=self.sway,
        )

    def least_lost(self, state: int) -> Floats:
        """Share of each stream's margin that retrofits of `state` may still leave lost, (K,)."""
        return np.asarray(self.lost[self.reachable_states(state)].min(axis=0, initial=1.0))

    def reachable(self, state: int) -> tuple["Lattice", Indices]:
        """The part of the lattice that retrofits can lead to from `state`, and its states here.

        Returns
        -------
        Lattice
            Same slots, each with the level of `state` and those that can be retrofitted.
        Indices
            Flat index in this lattice of each state of the part; the first level of each slot
            need not be the one of `state`.
        """
        levels, able = self._reached(state)
        states = np.flatnonzero(able)
        numbers = [
            np.searchsorted(k, own[states]) for own, k in zip(self.levels, levels, strict=True)
        ]
        shape = tuple(len(k) for k in levels)
        whole = len(states) == math.prod(shape)
        part = replace(
            self.among(states),
            shape=shape,
            fitted=tuple(
                tuple(self.fitted[axis][level] for level in k) for axis, k in enumerate(levels)
            ),
            targets=tuple(_renumbered(target, levels) for target in self.targets),
            places=None if whole else np.ravel_multi_index(numbers, shape),
            sways=None if whole else self.sway,
        )
        return part, states

    def reachable_states(self, state: int) -> Indices:
        """Valid states that retrofits can lead to from `state`, itself among them."""
        return np.flatnonzero(self._reached(state)[1] & self.valid)

    def _reached(self, state: int) -> tuple[list[list[int]], Bools]:
        """Levels of each slot that `state` has or may get, and which states are of them, (P,)."""
        kept = [{int(level)} for level in self.levels[:, state]]
        for target in self.targets:
            kept[target.axis].add(target.level)
        able = np.ones(self.size, dtype=bool)
        for own, count, levels in zip(self.levels, self.shape, kept, strict=True):
            able &= np.array([level in levels for level in range(count)])[own]
        return [sorted(levels) for levels in kept], able


def _renumbered(target: Target, levels: list[list[int]]) -> Target:
    easing = target.easing
    if easing is not None:
        there = levels[easing.axis]
        # An easing level that cannot be reached keeps an index that no state has.
        level = there.index(easing.level) if easing.level in there else len(there)
        easing = replace(easing, level=level)
    return replace(target, level=levels[target.axis].index(target.level), easing=easing)
