"""What a cluster without a lattice earns with what it owns, where work takes hours."""

from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.hours import HoursSeen, WaySets, way_sets
from optioneer.valuation.lattice.levels import Terms
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.cluster import World


@dataclass(frozen=True)
class Doable:
    """Every set of ways that packages of a cluster can own, stream by stream."""

    terms: Terms

    @cached_property
    def takes_hours(self) -> bool:
        """Whether any way takes hours; else shares alone say what is earned."""
        return any(way.hours > 0.0 for ways in self.terms.ways for way in ways)

    @cached_property
    def _rows(self) -> tuple[WaySets, ...]:
        """The sets of each stream for all choices of its ways."""
        found = []
        for fallback, ways in zip(self.terms.fallback, self.terms.ways, strict=True):
            doings = [(way.share, way.hours) for way in ways]
            found.append(way_sets([fallback], [doings], [_choices(len(ways))]))
        return tuple(found)

    @cached_property
    def _first(self) -> Indices:
        """Number of the first set of each stream."""
        return np.cumsum([0, *(len(own.row) for own in self._rows)])

    @cached_property
    def sets(self) -> WaySets:
        """All sets, one stream after the other, held by no state."""
        most = max((own.slope.shape[1] for own in self._rows), default=0)
        wide = [
            [np.pad(part, ((0, 0), (0, most - part.shape[1]))) for part in (own.slope, own.hours)]
            for own in self._rows
        ]
        return WaySets(
            np.repeat(np.arange(len(self._rows)), np.diff(self._first)),
            np.concatenate([own.base for own in self._rows]),
            np.concatenate([slope for slope, _ in wide]),
            np.concatenate([hours for _, hours in wide]),
            np.empty((0, len(self._rows)), dtype=np.intp),
        )

    def number(self, owned: frozenset[int], row: int) -> int:
        """Number of the set of a stream with some options."""
        has = (owned.issuperset(way.options) for way in self.terms.ways[row])
        choice = sum(1 << place for place, one in enumerate(has) if one)
        return int(self._first[row] + self._rows[row].held[choice, 0])

    def numbers(self, owned: frozenset[int]) -> Indices:
        """Number of the set of each stream with some options, shape (K,)."""
        rows = range(len(self.terms.streams))
        return np.array([self.number(owned, row) for row in rows], dtype=np.intp)

    def lost(self, view: View) -> Floats:
        """Margin that each set does not earn at the price of an hour, hours paid, (C, n) [money].

        Parameters
        ----------
        view
            From `view_of`.
        """
        total = np.zeros((len(self.sets.row), view.futures.count))
        for t in range(view.timeline.periods):
            now = range(t, t + 1)
            work = view.work_in(view.known_level(now), now, 0)
            total += self.sets.lost(work, price_of(view)[t])
        return total


def _choices(ways: int) -> Bools:
    """Each choice of some ways, the first changing fastest, shape (2 ** ways, ways)."""
    table = np.array(list(product((False, True), repeat=ways)), dtype=bool)
    return table.reshape(2**ways, ways)[:, ::-1]


def view_of(terms: Terms, world: World) -> View:
    """The futures to value on as a whole cluster meets them."""
    hours = None
    if world.attendance is not None and Doable(terms).takes_hours:
        hours = HoursSeen(world.attendance, world.price)
    return View(terms.outline, world.timeline, world.growth, world.scores, world.valued, hours)


def price_of(view: View) -> Floats:
    """Price of an hour in each period, shape (T, n) [money].

    Raises
    ------
    TypeError
        Where there is none: a cluster without a lattice pays for its hours.
    """
    if view.hours is None or view.hours.price is None:
        raise TypeError("Only worlds with a price of an hour have clusters without a lattice.")
    return view.hours.price
