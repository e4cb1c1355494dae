"""What the learned rule looks at: numbers known at a date that tell of work still to come.

They are the basis functions of least-squares Monte Carlo; `doubt` is a ridge penalty on each.
"""

from dataclasses import dataclass
from functools import cached_property, reduce
from itertools import combinations

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.lattice.lattice import Lattice, Target
from optioneer.valuation.lattice.view import View
from optioneer.valuation.worlds.scenario import Growth
from optioneer.valuation.worlds.timeline import Timeline

SATURATED = 4
"""Up to this many streams every combination of arrived and not arrived has its own number."""

MOST_PAIRS = 60
"""With more related pairs of streams none has a number of its own: each would tell too little."""

LONE_SWING_DOUBT, ABSENCE_DOUBT, ENDING_DOUBT, OTHER_DOUBT = 1e-9, 0.01, 0.01, 0.5
"""Ridge penalties, relative to a signal's size; chosen by trial on invented cases. Of a swinging
margin that is alone the curves differ by little that decides: next to no penalty."""

MANY_LESSONS = 16384
"""Lessons that need no more than `LONE_SWING_DOUBT`; of half as many four times it is wise."""

KNEES = (0.3, 1.0, 3.0)
"""Sizes of a swinging margin, relative to its mean worth, where its curves flatten."""

LONE_KNEES, STEEPNESS = (0.5, 1.0, 2.0), 2
"""The same of a margin that is alone, relative to what fitting must bring to pay, and how fast its
curves flatten there."""

EXTREME = 20.0
"""So many times its mean worth, or that part of it, a margin hardly ever swings to."""


@dataclass(frozen=True)
class Signals:
    """The numbers of one lattice.

    Parameters
    ----------
    lattice
        What is valued.
    """

    lattice: Lattice
    growth: Growth
    timeline: Timeline

    @cached_property
    def pairs(self) -> tuple[tuple[int, int], ...]:
        """Pairs of rows of streams that some state serves together differently than apart."""
        rows = range(len(self.lattice.streams))
        return tuple(pair for pair in combinations(rows, 2) if self._are_related(*pair))

    def _are_related(self, first: int, second: int) -> bool:
        if self._share_hours(first) and self._share_hours(second):
            return True
        return any(self._uses(axis, first) and self._uses(axis, second) for axis in self._axes)

    def _share_hours(self, row: int) -> bool:
        sets = self.lattice.way_sets
        return sets is not None and bool(sets.hours[sets.row == row].any())

    @property
    def _axes(self) -> range:
        return range(len(self.lattice.shape))

    def _uses(self, axis: int, row: int) -> bool:
        return bool(self.lattice.sway[axis, row] > 0)

    @cached_property
    def subsets(self) -> tuple[tuple[int, ...], ...]:
        """Sets of rows whose joint absence is a number of its own."""
        rows = range(len(self.lattice.streams))
        if len(rows) <= SATURATED:
            return tuple(s for size in range(1, len(rows) + 1) for s in combinations(rows, size))
        pairs = self.pairs if len(self.pairs) <= MOST_PAIRS else ()
        return tuple((row,) for row in rows) + pairs

    @cached_property
    def _uncertain(self) -> tuple[int, ...]:
        """Rows whose remaining margin is not told by their having arrived."""
        growth, streams = self.growth, self.lattice.streams
        return tuple(
            row
            for row, k in enumerate(streams)
            if np.ptp(growth.margin[k]) > 0
            or growth.swing[k] > 0
            or growth.life[k] < self.timeline.periods
            or growth.life_range(int(k)) is not None
            or growth.stay is not None
        )

    @cached_property
    def _ending(self) -> tuple[int, ...]:
        """Rows of streams that end before the horizon, or may: then other work may be done."""
        growth, whole = self.growth, self.timeline.periods
        return tuple(
            row
            for row, k in enumerate(self.lattice.streams)
            if growth.life_range(int(k)) is not None or growth.life[k] < whole
        )

    @cached_property
    def _ending_pairs(self) -> tuple[tuple[int, int], ...]:
        """Related pairs of streams of which one may end; none where they are too many."""
        pairs = [pair for pair in self.pairs if set(pair) & set(self._ending)]
        return tuple(pairs) if len(pairs) <= MOST_PAIRS else ()

    @cached_property
    def _multipliers(self) -> tuple[tuple[int, tuple[int, ...]], ...]:
        """Targets with an uncertain multiplier, each with the rows of streams it serves."""
        rows = range(len(self.lattice.streams))
        return tuple(
            (i, tuple(row for row in rows if self._uses(target.axis, row)))
            for i, target in enumerate(self.lattice.targets)
            if np.ptp(target.bounds) > 0
        )

    @cached_property
    def swinging(self) -> tuple[int, ...]:
        """Rows of streams whose margin swings once they are there."""
        return tuple(row for row, k in enumerate(self.lattice.streams) if self.growth.swing[k] > 0)

    @property
    def kinds(self) -> tuple[object, ...]:
        """What each number tells of: with the same kinds the same things are looked at."""
        told = [bool(self.growth.loadings[k].any()) for k in self.lattice.streams]
        hours = [row for row in range(len(self.lattice.streams)) if self._share_hours(row)]
        return (
            *(self.subsets, self.pairs, self.swinging, self._uncertain),
            *(self._ending, self._ending_pairs, self._multipliers),
            *(tuple(told), tuple(hours)),
        )

    def doubt(self, own: Floats) -> Floats:
        """How much each number is shrunk towards telling nothing, shape (S, F).

        Relative to its size: next to nothing for a swinging margin that is alone, the more the
        fewer lessons have it; little for who is absent and for other swings, more for the rest;
        most of these tell little and each costs some precision.

        Parameters
        ----------
        own
            Sum of squares of each number over the lessons, by period, shape (S, F).
        """
        doubt = np.full(own.shape, OTHER_DOUBT)
        rows = len(self.lattice.streams)
        swings = len(self.swinging) * (2 + len(KNEES))
        doubt[:, :swings] = ABSENCE_DOUBT
        if swings and rows == 1:
            # the first number is 1 in each lesson in which the margin is there
            scarce = MANY_LESSONS / np.maximum(own[:, :1], 1.0)
            doubt[:, :swings] = np.minimum(LONE_SWING_DOUBT * scarce**2, ABSENCE_DOUBT)
        absences = len(self.subsets) if rows <= SATURATED else rows
        doubt[:, swings : swings + absences] = ABSENCE_DOUBT
        ends = swings + len(self.subsets)
        doubt[:, ends : ends + 3 * len(self._ending) + len(self._ending_pairs)] = ENDING_DOUBT
        return doubt

    def at(self, view: View, periods: range, known: Floats) -> Floats:
        """The numbers at the start of the periods, shape (F, S x n).

        Without limited hours all are 0 in futures in which nothing is left to be learned, because
        every stream is here and none swings or may end: there the rule's own estimate stands.

        Parameters
        ----------
        view
            A block of n futures.
        periods
            S of them, the last one left out.
        known
            From ``view.known_level(periods)``, shape (K, S x n).
        """
        absent = view.absent(periods)
        left = view.remaining(known, periods, ahead=1) / self._scale[:, None]
        rows = self._of_swings(left, absent)
        rows += [reduce(np.multiply, absent[list(subset)]) for subset in self.subsets]
        rows += self._of_ends(left)
        rows += self._of_margins(left, absent)
        rows += self._of_drivers(view.outlook(periods), absent)
        rows += self._of_multipliers(view, absent)
        rows += self._of_hours(view, periods, (left, absent))
        return np.concatenate(rows).reshape(len(rows), -1)

    def _of_hours(self, view: View, periods: range, seen: tuple[Floats, Floats]) -> list[Floats]:
        """What is left of work that shares hours, and the price of one: also when all are here."""
        sets, hours, (left, absent) = self.lattice.way_sets, view.hours, seen
        if sets is None or hours is None:
            return []
        rows = [np.ones(left.shape[1]), *(left[row] for row in self._taking)]
        if hours.price is not None:
            price = hours.price[periods.start : periods.stop].ravel()
            rows += [price, *(price * absent[row] for row in self._taking)]
        return rows

    @cached_property
    def _taking(self) -> tuple[int, ...]:
        """Rows of streams that take hours."""
        sets = self.lattice.way_sets
        return () if sets is None else tuple(np.unique(sets.row[sets.hours.any(axis=1)]).tolist())

    def _of_ends(self, left: Floats) -> list[Floats]:
        """Whether work that may end is there, and what can be expected of it, alone and paired."""
        rows = [each for row in self._ending for each in _powers(left[row])]
        return rows + [left[first] * left[second] for first, second in self._ending_pairs]

    def _of_swings(self, left: Floats, absent: Floats) -> list[Floats]:
        """Curves that flatten as the margin grows, like the worth of waiting."""
        rows: list[Floats] = []
        for row in self.swinging:
            x = left[row]
            rows += [1.0 - absent[row], x, *self._curves(row, x)]
        return rows

    def _curves(self, row: int, x: Floats) -> list[Floats]:
        if len(self.lattice.streams) > 1:
            return [x / (x + knee) for knee in KNEES]
        power, pays = x**STEEPNESS, self._break_even[row]
        return [power / (power + (knee * pays) ** STEEPNESS) for knee in LONE_KNEES]

    @cached_property
    def _break_even(self) -> dict[int, float]:
        """Of each swinging row, what fitting must bring to pay, relative to its mean worth."""
        found = {}
        for row in self.swinging:
            sizes = [self._size(target, row) for target in self._serving(row)]
            mean = np.exp(np.mean(np.log(sizes))) if sizes else 1.0
            found[row] = float(np.clip(mean, 1.0 / EXTREME, EXTREME))
        return found

    def _serving(self, row: int) -> tuple[Target, ...]:
        return tuple(t for t in self.lattice.targets if self._uses(t.axis, row))

    def _size(self, target: Target, row: int) -> float:
        """What a retrofit costs, per what it may save of the mean worth of a stream."""
        most = float(self.lattice.sway[target.axis, row]) * float(self._scale[row])
        return max(target.price * float(target.bounds.mean()) + target.downtime, 1.0) / most

    def _of_margins(self, left: Floats, absent: Floats) -> list[Floats]:
        """What is left of margins that are here, where related work is still to come."""
        rows: list[Floats] = []
        for first, second in self.pairs:
            for here, away in ((first, second), (second, first)):
                if here in self._uncertain:
                    x = left[here] * absent[away]
                    rows += [x, x * left[here]]
        return rows

    @cached_property
    def _scale(self) -> Floats:
        means = self.growth.margin[self.lattice.streams].mean(axis=1)
        scale: Floats = np.maximum(means * self.timeline.annuity[0], 1.0)
        return scale

    def _of_drivers(self, outlook: Floats | None, absent: Floats) -> list[Floats]:
        if outlook is None:
            return []
        rows: list[Floats] = []
        for row, k in enumerate(self.lattice.streams):
            if self.growth.loadings[k].any():
                rows += [absent[row] * outlook[row], absent[row] * outlook[row] ** 2]
        return rows

    def _of_multipliers(self, view: View, absent: Floats) -> list[Floats]:
        rows: list[Floats] = []
        for i, served in self._multipliers:
            spread = view.multipliers[i][0] - self.lattice.targets[i].bounds.mean()
            by_period = (absent[row].reshape(-1, view.futures.count) for row in served)
            rows += [(spread * each).ravel() for each in by_period]
        return rows


def _powers(left: Floats) -> tuple[Floats, Floats, Floats]:
    return (left > 0.0).astype(np.float64), left, left**2
