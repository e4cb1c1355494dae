"""One cluster by its terms: what each level costs and brings, not yet state by state."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.hours import WaySets, way_sets
from optioneer.valuation.lattice.lattice import Lattice, Target
from optioneer.valuation.lattice.useful import with_useful_states
from optioneer.valuation.worlds.turns import Turns

Levels = tuple[int, ...]
"""A package: the level of each slot."""


@dataclass(frozen=True)
class Bundle:
    """Options that cost less when ordered together.

    Parameters
    ----------
    options
        Indices of the options.
    discount
        Taken off the price [money].
    """

    options: tuple[int, ...]
    discount: float


@dataclass(frozen=True)
class Way:
    """Options that together let the machine do a work stream.

    Parameters
    ----------
    options
        Indices of the options.
    share
        Of the margin that is earned, 0..1.
    hours
        Attended hours that the whole of the stream takes this way [hours/year]; 0 where hours are
        not limited.
    """

    options: tuple[int, ...]
    share: float
    hours: float = 0.0


def outline_of(streams: Indices) -> Lattice:
    """Streams without any state: what a view of their margins needs."""
    none = np.empty(0)
    return Lattice(
        shape=(0,),
        names=(),
        fitted=(),
        valid=np.empty(0, dtype=bool),
        price=none,
        upkeep=none,
        resale=none,
        streams=streams,
        lost=np.empty((0, len(streams))),
        targets=(),
        visits=(),
    )


@dataclass(frozen=True)
class Terms:
    """A cluster of slots.

    Parameters
    ----------
    names
        Names of the slots.
    fitted
        Index of the option at each level of each slot, -1 for an empty slot.
    price
        Paid at the order for each level of each slot, beyond the base price; below 0 where a
        standard item is left off for a credit [money].
    upkeep, resale
        Of each level of each slot [money/year], [money at the horizon].
    resale_share
        Of each level of each slot, the share of its price that `resale` is.
    requires, excludes
        Pairs of options: the first needs, or cannot stand beside, the second.
    bundles
        Discounts.
    order_factor
        Present value of paying for the order, per unit of price.
    streams
        Indices of the streams that this cluster serves, shape (K,).
    fallback
        Share of each stream's margin kept without any way, shape (K,).
    ways
        Ways of each stream.
    targets
        Retrofits; a slot that eases another comes after it.
    visits
        Call-out charges by index [money].
    turns
        Of each visit that serves other clusters too, who pays when; nothing where none does.
    shared
        Visits that tie no slots together: the default call-out.
    barred
        Slot and level of what cannot be ordered, though it may be fitted later: rivals of what is
        wanted whatever it costs.
    """

    names: tuple[str, ...]
    fitted: tuple[tuple[int, ...], ...]
    price: tuple[tuple[float, ...], ...]
    upkeep: tuple[tuple[float, ...], ...]
    resale: tuple[tuple[float, ...], ...]
    resale_share: tuple[tuple[float, ...], ...]
    requires: tuple[tuple[int, int], ...]
    excludes: tuple[tuple[int, int], ...]
    bundles: tuple[Bundle, ...]
    order_factor: float
    streams: Indices
    fallback: tuple[float, ...]
    ways: tuple[tuple[Way, ...], ...]
    targets: tuple[Target, ...]
    visits: tuple[float, ...]
    turns: tuple[Turns | None, ...] = ()
    shared: frozenset[int] = frozenset()
    barred: frozenset[tuple[int, int]] = frozenset()

    @cached_property
    def resale_shares(self) -> Floats:
        """Shares of prices that come back at the horizon, each once, rising, shape (D,)."""
        return np.array(sorted({s for own in self.resale_share for s in own if s > 0.0}))

    def resale_priced(self, share: float) -> tuple[tuple[float, ...], ...]:
        """Price of each level of each slot of which `share` comes back, else 0 [money]."""
        return tuple(
            tuple(r / s if s == share else 0.0 for r, s in zip(own, shares, strict=True))
            for own, shares in zip(self.resale, self.resale_share, strict=True)
        )

    @cached_property
    def place(self) -> dict[int, tuple[int, int]]:
        """Slot and level of each option."""
        return {
            option: (axis, level)
            for axis, levels in enumerate(self.fitted)
            for level, option in enumerate(levels)
            if option >= 0
        }

    @cached_property
    def target_of(self) -> dict[int, int]:
        """Index of the target of each option that can be retrofitted."""
        return {target.option: i for i, target in enumerate(self.targets)}

    @cached_property
    def lattice(self) -> Lattice:
        """Every package of the cluster, an axis a slot."""
        return self.part(tuple(tuple(range(len(levels))) for levels in self.fitted))

    @cached_property
    def outline(self) -> Lattice:
        """Streams, targets and visits without any state: what a view of futures needs."""
        bare = outline_of(self.streams)
        return replace(bare, targets=self.targets, visits=self.visits, turns=self.turns)

    def levels_of(self, held: Collection[int]) -> Levels:
        """The package that holds those of some options that are the cluster's own."""
        return tuple(
            next((level for level, option in enumerate(levels) if option in held), 0)
            for levels in self.fitted
        )

    def options_of(self, package: Levels) -> frozenset[int]:
        """Options that a package holds."""
        held = (self.fitted[axis][level] for axis, level in enumerate(package))
        return frozenset(option for option in held if option >= 0)

    def keeps(self, package: Levels) -> bool:
        """Whether a package can be ordered: every requirement and exclusion, nothing barred."""
        if self.barred.intersection(enumerate(package)):
            return False
        owned = self.options_of(package)
        met = all(first not in owned or second in owned for first, second in self.requires)
        return met and not any(a in owned and b in owned for a, b in self.excludes)

    def order_price(self, package: Levels) -> float:
        """Paid for a package beyond the base price, order factor left out [money]."""
        owned = self.options_of(package)
        paid = sum(self.price[axis][level] for axis, level in enumerate(package))
        return paid - sum(b.discount for b in self.bundles if owned.issuperset(b.options))

    def share_earned(self, owned: frozenset[int], row: int) -> float:
        """Share of a stream's margin that is earned with some options."""
        shares = (way.share for way in self.ways[row] if owned.issuperset(way.options))
        return max([self.fallback[row], *shares])

    def least_lost(self, package: Levels, row: int) -> float:
        """Share of a stream's margin that retrofits of the slots that serve it may leave lost."""
        options = {option for way in self.ways[row] for option in way.options}
        for _ in self.requires:
            options |= {second for first, second in self.requires if first in options}
        axes = sorted({self.place[option][0] for option in options})
        kept = [{level} for level in package]
        for target in self.targets:
            if target.option in options:
                kept[target.axis].add(target.level)
        part = self.part([tuple(sorted(levels)) for levels in kept], axes)
        return float(part.lost[part.valid, row].min(initial=1.0))

    def part(self, kept: Sequence[tuple[int, ...]], axes: Sequence[int] | None = None) -> Lattice:
        """The lattice over some levels of some slots.

        Parameters
        ----------
        kept
            Levels of each slot, rising.
        axes
            Slots that become axes; all unless told. The others keep their one level for good, and
            its price, upkeep and resale are left out.
        """
        return _Part(self, tuple(kept), tuple(range(len(kept)) if axes is None else axes)).lattice


@dataclass(frozen=True)
class _Part:
    """Some levels of some slots on their way to a lattice."""

    terms: Terms
    kept: tuple[tuple[int, ...], ...]
    axes: tuple[int, ...]

    @cached_property
    def levels(self) -> tuple[Indices, ...]:
        """Level, in the cluster, of each axis in each state, one array of shape (P,) an axis."""
        shape = tuple(len(self.kept[axis]) for axis in self.axes)
        grids = np.indices(shape, dtype=np.intp).reshape(len(shape), int(np.prod(shape)))
        return tuple(
            np.array(self.kept[axis], dtype=np.intp)[grid]
            for axis, grid in zip(self.axes, grids, strict=True)
        )

    @property
    def size(self) -> int:
        return len(self.levels[0]) if self.axes else 1

    @cached_property
    def holds(self) -> dict[int, Bools]:
        """States that hold each option, shape (P,)."""
        own = dict(zip(self.axes, self.levels, strict=True))
        held = {}
        for option, (axis, level) in self.terms.place.items():
            always = np.full(self.size, self.kept[axis] == (level,))
            held[option] = own[axis] == level if axis in own else always
        return held

    @property
    def lattice(self) -> Lattice:
        return with_useful_states(self._all)

    @property
    def _all(self) -> Lattice:
        """With every combination of levels."""
        terms, valid = self.terms, self._valid()
        return Lattice(
            shape=tuple(len(self.kept[axis]) for axis in self.axes),
            names=tuple(terms.names[axis] for axis in self.axes),
            fitted=tuple(
                tuple(terms.fitted[axis][level] for level in self.kept[axis]) for axis in self.axes
            ),
            valid=valid,
            price=np.where(
                valid & ~self._barred_states(), terms.order_factor * self._price(), np.inf
            ),
            upkeep=self._sums_by_state(terms.upkeep),
            resale=self._sums_by_state(terms.resale),
            streams=terms.streams,
            lost=self._lost(),
            targets=self._targets(),
            visits=terms.visits,
            turns=terms.turns,
            way_sets=self._way_sets(),
            resale_shares=terms.resale_shares,
            resale_prices=self._resale_prices(),
        )

    def _sums_by_state(self, amounts: tuple[tuple[float, ...], ...]) -> Floats:
        """`amounts` added up over the levels of the axes, shape (P,)."""
        total = np.zeros(self.size)
        for axis, level in zip(self.axes, self.levels, strict=True):
            total += np.array(amounts[axis])[level]
        return total

    def _resale_prices(self) -> Floats:
        """Prices of which each share comes back, shape (D, P) [money]."""
        priced = [
            self._sums_by_state(self.terms.resale_priced(s)) for s in self.terms.resale_shares
        ]
        return np.array(priced).reshape(-1, self.size)

    def _valid(self) -> Bools:
        """States that keep every requirement and exclusion, shape (P,)."""
        valid = np.ones(self.size, dtype=bool)
        for first, second in self.terms.requires:
            valid &= ~self.holds[first] | self.holds[second]
        for first, second in self.terms.excludes:
            valid &= ~self.holds[first] | ~self.holds[second]
        return valid

    def _barred_states(self) -> Bools:
        """States that cannot be ordered though they may be reached, shape (P,)."""
        barred = np.zeros(self.size, dtype=bool)
        for axis, levels in zip(self.axes, self.levels, strict=True):
            barred |= np.isin(levels, [b for a, b in self.terms.barred if a == axis])
        return barred

    def _price(self) -> Floats:
        """Paid for the levels of the axes, bundles taken off, shape (P,)."""
        price = self._sums_by_state(self.terms.price)
        for bundle in self.terms.bundles:
            together = np.logical_and.reduce([self.holds[option] for option in bundle.options])
            price -= bundle.discount * together
        return price

    def _lost(self) -> Floats:
        """One less the best owned way's share or the fallback, shape (P, K)."""
        lost = np.empty((self.size, len(self.terms.streams)))
        for row, ways in enumerate(self.terms.ways):
            earned = np.full(self.size, self.terms.fallback[row])
            for way in ways:
                np.maximum(earned, way.share * self._states_holding(way.options), out=earned)
            lost[:, row] = 1.0 - earned
        return lost

    def _way_sets(self) -> WaySets | None:
        """Sets of ways by state; none where no way takes hours."""
        terms = self.terms
        if not any(way.hours > 0.0 for ways in terms.ways for way in ways):
            return None
        owned = [
            np.array([self._states_holding(way.options) for way in ways])
            .reshape(len(ways), self.size)
            .T
            for ways in terms.ways
        ]
        doings = [[(way.share, way.hours) for way in ways] for ways in terms.ways]
        return way_sets(terms.fallback, doings, owned)

    def _states_holding(self, options: tuple[int, ...]) -> Bools:
        """States that hold all of some options, shape (P,)."""
        owned = np.ones(self.size, dtype=bool)
        for option in options:
            owned &= self.holds[option]
        return owned

    def _targets(self) -> tuple[Target, ...]:
        """Retrofits to levels of the axes, numbered as in the part."""
        return tuple(
            self._renumbered(target)
            for target in self.terms.targets
            if target.axis in self.axes and target.level in self.kept[target.axis]
        )

    def _renumbered(self, target: Target) -> Target:
        """A target as the part numbers it; an easing level that it lacks is never fitted."""
        axis, easing = self.axes.index(target.axis), target.easing
        bounds = target.bounds
        if easing is not None and easing.axis not in self.axes:
            if self.kept[easing.axis] == (easing.level,):
                bounds = easing.bounds
            easing = None
        elif easing is not None:
            there = self.kept[easing.axis]
            level = there.index(easing.level) if easing.level in there else len(there)
            easing = replace(easing, axis=self.axes.index(easing.axis), level=level)
        level = self.kept[target.axis].index(target.level)
        return replace(target, axis=axis, level=level, bounds=bounds, easing=easing)
