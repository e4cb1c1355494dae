"""What retrofits can still change once a package is ordered: lattices small enough to sweep."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.large.doable import Doable
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.levels import Levels, Terms, Way

MOST_STATES = 32
"""States of a part; retrofits that promise least are left out of account beyond it.

On generated catalogues 128 instead saved nothing and took twice as long.
"""


@dataclass(frozen=True)
class Live:
    """What is left to decide after a package is ordered.

    Parameters
    ----------
    parts
        Lattices of slots that retrofits can still change and that hang together.
    starts
        State of each part that is ordered.
    settled
        Rows of streams that no part serves.
    fixed
        Slots that stay as they are.
    """

    parts: tuple[Lattice, ...]
    starts: tuple[int, ...]
    settled: tuple[int, ...]
    fixed: tuple[int, ...]


@dataclass(frozen=True)
class Outlook:
    """What retrofits may bring at most, on some futures.

    Parameters
    ----------
    worth
        Discounted margin of each stream from its arrival on, shape (K, n) [money].
    charge
        Least charge of each target, call-outs left out, shape (targets, n) [money].
    doable
        Sets of ways, by number.
    lost
        Margin that each of them does not earn at the price of an hour, where ways take hours,
        shape (C, n) [money].
    """

    worth: Floats
    charge: Floats
    doable: Doable
    lost: Floats | None = None


def live(terms: Terms, package: Levels, outlook: Outlook) -> Live:
    """What retrofits can change after `package` is ordered.

    Parameters
    ----------
    package
        Level of each slot.

    Notes
    -----
    Retrofits are weighed together where they share a stream, a rule, an easing or a named
    call-out, and all of them where that makes one small lattice. Apart, each part pays for its own
    default call-outs; and retrofits that would make a part too large, those that promise least,
    are not weighed. Both can only make a package look dearer than it is.
    """
    found = _Live(terms, package, outlook)
    useful = found.useful()
    kept, groups = set(useful), found.groups(useful)
    while groups and max(found.states(group, kept) for group in groups) > MOST_STATES:
        largest = max(groups, key=lambda group: found.states(group, kept))
        least = min((o for o in kept if found.axis(o) in largest), key=lambda o: useful[o])
        kept -= found.dependents(least, kept)
        groups = found.groups(kept)
    whole = sorted(axis for group in groups for axis in group)
    if len(groups) > 1 and found.states(whole, kept) <= MOST_STATES:
        groups = [whole]
    return found.live_lattices(kept, groups)


@dataclass(frozen=True)
class _Live:
    terms: Terms
    package: Levels
    outlook: Outlook

    def axis(self, option: int) -> int:
        """Slot of an option."""
        return self.terms.place[option][0]

    def useful(self) -> dict[int, float]:
        """Options worth weighing later, with the most that each may bring [money]."""
        terms, owned = self.terms, self.terms.options_of(self.package)
        able = set(terms.target_of) - owned
        promise = dict.fromkeys(able, 0.0)
        gains: dict[int, Floats] = {}
        for row in range(len(terms.streams)):
            for way in self._open_ways(row, owned, able):
                gain = self._gain(row, owned, way)
                for option in set(way.options) - owned:
                    gains[option] = gains.get(option, 0.0) + gain
        for option, gain in gains.items():
            charge = self.outlook.charge[terms.target_of[option]]
            promise[option] = float(np.maximum(gain - charge, 0.0).mean())
        return self._with_required({o: p for o, p in promise.items() if p > 0.0}, owned, able)

    def _open_ways(self, row: int, owned: frozenset[int], able: set[int]) -> Iterator[Way]:
        """Ways of a stream that retrofits can complete and that would earn more."""
        earned, fallback = self.terms.share_earned(owned, row), self.terms.fallback[row]
        least = earned if self.outlook.lost is None else fallback
        for way in self.terms.ways[row]:
            missing = set(way.options) - owned
            if missing and way.share > least and missing <= able:
                yield way

    def _gain(self, row: int, owned: frozenset[int], way: Way) -> Floats:
        """What a way would earn more than what is owned, shape (n,) [money]."""
        lost = self.outlook.lost
        if lost is None:
            share = way.share - self.terms.share_earned(owned, row)
            return np.asarray(share * self.outlook.worth[row])
        number, more = self.outlook.doable.number, owned.union(way.options)
        return np.asarray(lost[number(owned, row)] - lost[number(more, row)])

    def _with_required(
        self, promise: dict[int, float], owned: frozenset[int], able: set[int]
    ) -> dict[int, float]:
        """The same with what they require, less those whose requirements cannot be met."""
        found, queue = dict(promise), list(promise)
        while queue:
            option = queue.pop()
            for first, second in self.terms.requires:
                if first == option and second not in owned and second not in found:
                    found[second] = promise.get(second, found[option])
                    queue.append(second)
        found = {o: p for o, p in found.items() if o in able}
        while hopeless := {o for o in found if self._needs(o) - owned - (set(found) & able)}:
            found = {o: p for o, p in found.items() if o not in hopeless}
        return self._with_easing(found, owned, able)

    def _with_easing(
        self, found: dict[int, float], owned: frozenset[int], able: set[int]
    ) -> dict[int, float]:
        """The same with what eases them for less than it saves."""
        more = dict(found)
        for option, promise in found.items():
            target = self.terms.targets[self.terms.target_of[option]]
            if target.easing is None:
                continue
            saved = target.price * float(target.bounds.mean() - target.easing.bounds.mean())
            easing = self.terms.fitted[target.easing.axis][target.easing.level]
            if easing in able and easing not in more and not self._needs(easing) - owned - {*more}:
                cost = self.outlook.charge[self.terms.target_of[easing]].mean()
                if saved > cost:
                    more[easing] = promise
        return more

    def _needs(self, option: int) -> set[int]:
        return {second for first, second in self.terms.requires if first == option}

    def dependents(self, option: int, kept: set[int]) -> set[int]:
        """An option and those of `kept` that require it, directly or not."""
        found = {option}
        while more := {o for o in kept - found if self._needs(o) & found}:
            found |= more
        return found

    def states(self, axes: Iterable[int], kept: Iterable[int]) -> int:
        """States of the part over some slots that some options can be fitted in."""
        fitted = [self.axis(option) for option in kept]
        return math.prod(1 + fitted.count(axis) for axis in axes)

    def groups(self, options: Iterable[int]) -> list[list[int]]:
        """Slots of some options, those that hang together in one list."""
        groups = [{axis} for axis in {self.axis(option) for option in options}]
        live = set().union(*groups)
        for tie in self._ties:
            touched = tie & live
            if len(touched) > 1:
                together = set().union(*(group for group in groups if group & touched))
                groups = [*(group for group in groups if not group & touched), together]
        return sorted(sorted(group) for group in groups)

    @cached_property
    def _ties(self) -> frozenset[frozenset[int]]:
        """Slots that must be weighed together as far as they are live."""
        owned = self.terms.options_of(self.package)
        able = owned | set(self.terms.target_of)
        ties = [
            [option for way in ways for option in self._telling(way, row, able)]
            for row, ways in enumerate(self.terms.ways)
        ]
        ties += [[*pair] for pair in (*self.terms.requires, *self.terms.excludes)]
        visits: dict[int, list[int]] = {}
        for target in self.terms.targets:
            if target.visit >= 0 and target.visit not in self.terms.shared:
                visits.setdefault(target.visit, []).append(target.option)
        slots = {self._slots_of(options) for options in (*ties, *visits.values())}
        eased = {frozenset({t.axis, t.easing.axis}) for t in self.terms.targets if t.easing}
        return frozenset(slots | eased)

    def _slots_of(self, options: Iterable[int]) -> frozenset[int]:
        return frozenset(self.axis(option) for option in options)

    def _telling(self, way: Way, row: int, able: set[int] | frozenset[int]) -> tuple[int, ...]:
        """Options of a way that can still matter."""
        gains = way.share > self.terms.fallback[row]
        return way.options if gains and able.issuperset(way.options) else ()

    def live_lattices(self, kept: set[int], groups: list[list[int]]) -> Live:
        """The lattices of the groups."""
        levels = [{level} for level in self.package]
        for option in kept:
            axis, level = self.terms.place[option]
            levels[axis].add(level)
        all_kept = tuple(tuple(sorted(own)) for own in levels)
        parts, starts, served = [], [], set[int]()
        for axes in groups:
            part, start, rows = self._part(all_kept, axes)
            parts.append(part)
            starts.append(start)
            served |= rows
        live_axes = {axis for axes in groups for axis in axes}
        return Live(
            parts=tuple(parts),
            starts=tuple(starts),
            settled=tuple(r for r in range(len(self.terms.streams)) if r not in served),
            fixed=tuple(axis for axis in range(len(levels)) if axis not in live_axes),
        )

    def _part(
        self, kept: tuple[tuple[int, ...], ...], axes: list[int]
    ) -> tuple[Lattice, int, set[int]]:
        """One lattice with only the streams that it changes, the state ordered, their rows."""
        own = tuple(
            levels if axis in axes else (self.package[axis],) for axis, levels in enumerate(kept)
        )
        part = self.terms.part(own, axes)
        ordered = [[kept[axis].index(self.package[axis])] for axis in axes]
        start = int(part.states_at(np.array(ordered))[0])
        sets = part.way_sets
        varies = np.ptp(part.lost, axis=0) > 0
        if sets is not None:
            varies |= np.ptp(sets.held, axis=0) > 0
        rows = np.flatnonzero(varies)
        return part.serving(rows), start, {int(row) for row in rows}
