"""Hours: which work a shop does, and by which ways, where the hours do not reach for all of it.

Of each stream with margin m [money/year] as much is done as pays, by the owned ways with shares s
and hours h (the fallback has none). A period's work earns, a year,

    max  sum_k sum_w x_kw m_k s_kw - beyond y    over x, y >= 0, sum_w x_kw <= 1,
                                                 sum_kw x_kw h_kw <= attended + y
    = min over 0 <= lam <= beyond of  lam attended + sum_k max_w (m_k s_kw - lam h_kw),

a linear programme and its dual; lam is the price of an hour. The right side is convex and straight
between the prices at which a stream changes its way, so that one of these is where it is least.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Bools, Floats, Indices

Doing = tuple[float, float]
"""A way to do a stream: share of the margin that it earns, attended hours that it takes a year."""

Steps = tuple[float, tuple[Doing, ...]]
"""A set of ways: the share earned without an hour, then share an hour and hours, step by step."""


MOST_BITS = 62
"""Ways of a stream of which a whole number can say which are owned."""


@dataclass(frozen=True)
class Attendance:
    """Hours in which somebody is there for the machine.

    Parameters
    ----------
    hours
        A year.
    beyond
        What one hour more costs [money]; infinite where there are no more.
    """

    hours: float
    beyond: float = np.inf


def steps_of(ways: Sequence[Doing]) -> Steps:
    """What ways earn with rising hours: their upper concave hull from no hours on.

    A mix of two ways earns what lies on the line between them, so that only the hull counts; the
    margin scales it without changing its corners.

    Parameters
    ----------
    ways
        One of them, the fallback, takes no hours.
    """
    base = share = max(share for share, hours in ways if hours == 0.0)
    at, steps = 0.0, list[Doing]()
    while True:
        rises = [((s - share) / (h - at), h, s) for s, h in ways if h > at and s > share]
        if not rises:
            return base, tuple(steps)
        slope, hours, best = max(rises)
        steps.append((slope, hours - at))
        at, share = hours, best


@dataclass(frozen=True)
class WaySets:
    """Distinct sets of ways of the streams of a lattice, and which state holds which.

    Parameters
    ----------
    row
        Row of the stream that each set belongs to, shape (C,).
    base
        Share that each set earns without an hour, shape (C,).
    slope, hours
        Share an hour and hours of the steps of each set, the best step first, shape (C, J); 0 where
        a set has fewer [1/hour], [hours/year].
    held
        Set of each stream in each state, shape (P, K).
    """

    row: Indices
    base: Floats
    slope: Floats
    hours: Floats
    held: Indices

    def of(self, states: Indices) -> "WaySets":
        """Those of some states."""
        return WaySets(self.row, self.base, self.slope, self.hours, self.held[states])

    def serving(self, rows: Indices) -> "WaySets":
        """Those of some streams, rising, which are numbered anew."""
        kept = np.flatnonzero(np.isin(self.row, rows))
        number = np.full(len(self.row), -1, dtype=np.intp)
        number[kept] = np.arange(len(kept))
        return WaySets(
            np.searchsorted(rows, self.row[kept]),
            self.base[kept],
            self.slope[kept],
            self.hours[kept],
            number[self.held[:, rows]],
        )

    @property
    def _alone(self) -> bool:
        """Whether there is but one stream, so that a state holds one set."""
        return bool(self.held.shape[1] == 1)

    @cached_property
    def _kinds_of_states(self) -> Indices | None:
        """Each state's set of the one stream, else its kind; none where all differ, in order."""
        count, kind = len(self.row), self.held[:, 0]
        if not self._alone:
            count, kind = len(self.alike[0]), self.alike[1]
        return None if np.array_equal(kind, np.arange(count)) else kind

    @cached_property
    def _taking(self) -> tuple[tuple[int, int], ...]:
        """Sets and steps of them that take hours."""
        numbers, steps = np.nonzero(self.hours)
        return tuple(zip(numbers.tolist(), steps.tolist(), strict=True))

    @cached_property
    def alike(self) -> tuple[Floats, Indices]:
        """Which set is held, 0 or 1, by kind of state, shape (Q, C), and each state's kind."""
        kinds, kind = np.unique(self.held, axis=0, return_inverse=True)
        return self._one_hot(kinds), kind.astype(np.intp)

    def _one_hot(self, held: Indices) -> Floats:
        table = np.zeros((len(held), len(self.row)))
        np.put_along_axis(table, held, 1.0, axis=1)
        return table

    @cached_property
    def prices(self) -> tuple[Indices, Floats]:
        """Streams and slopes at whose product with the margin some set changes its way."""
        place = np.nonzero(self.hours)
        rows, slopes = self.row[place[0]], self.slope[place]
        pairs = sorted(set(zip(rows.tolist(), slopes.tolist(), strict=True)))
        return np.array([r for r, _ in pairs], dtype=np.intp), np.array([s for _, s in pairs])

    def lost(self, work: "Work", price: Floats) -> Floats:
        """Margin that each set does not earn at a price of an hour, hours paid, shape (C, M)."""
        paid, gain = work.years * price, np.empty(work.margin.shape[1])
        margin = work.margin if self._alone else work.margin[self.row]
        lost: Floats = margin * (1.0 - self.base[:, None])
        for number, step in self._taking:
            row = self.row[number]
            np.multiply(work.margin[row], self.slope[number, step], out=gain)
            gain -= paid[row]
            np.maximum(gain, 0.0, out=gain)
            gain *= self.hours[number, step]
            lost[number] -= gain
        return lost

    def lost_at(self, work: "Work", price: Floats) -> Floats:
        """The same of each state, all its streams added up, shape (P, M)."""
        if self._alone:
            lost = self.lost(work, price)
        else:
            table, _ = self.alike
            lost = table @ self.lost(work, price)
        return lost if self._kinds_of_states is None else lost[self._kinds_of_states]

    def lost_in(self, work: "Work", attendance: Attendance) -> Floats:
        """Margin that each state does not earn with the hours there are, shape (P, M) [money].

        What hours beyond the attended ones cost is part of it.
        """
        table, kind = self.alike
        most = np.full((len(table), work.margin.shape[1]), -np.inf)
        for price in self._prices(work, attendance):
            lost = table @ self.lost(work, price)
            lost -= price * work.whole * attendance.hours
            np.maximum(most, lost, out=most)
        return most[kind]

    def _prices(self, work: "Work", attendance: Attendance) -> "list[Floats]":
        """Prices of an hour of which one is the right one, shape (M,) each [money]."""
        rows, slopes = self.prices
        none = np.zeros(work.margin.shape[1])
        found = [none]
        for row, slope in zip(rows, slopes, strict=True):
            there = work.years[row] > 0.0
            price = np.divide(
                slope * work.margin[row], work.years[row], out=none.copy(), where=there
            )
            found.append(np.minimum(price, attendance.beyond))
        return found if np.isinf(attendance.beyond) else [*found, none + attendance.beyond]


def way_sets(
    fallback: Sequence[float], ways: Sequence[Sequence[Doing]], owned: Sequence[Bools]
) -> WaySets:
    """The sets of ways of K streams in P states.

    Parameters
    ----------
    fallback
        Share that each stream earns without a way.
    ways
        Of each stream.
    owned
        Whether a state owns each way, shape (P, ways) a stream.
    """
    found: dict[tuple[int, Steps], int] = {}
    held = np.empty((len(owned[0]), len(ways)), dtype=np.intp)
    for row, (share, doings, has) in enumerate(zip(fallback, ways, owned, strict=True)):
        alike = len(has) > 1 and bool((has == has[0]).all())
        kinds, kind = _kinds(has[:1] if alike else has)
        numbers = [
            found.setdefault((row, _steps(share, doings, each)), len(found)) for each in kinds
        ]
        held[:, row] = numbers[0] if alike else np.array(numbers, dtype=np.intp)[kind]
    most = max(len(steps) for _, (_, steps) in found)
    table = np.zeros((2, len(found), most))
    for number, (_, (_, steps)) in enumerate(found):
        for place, step in enumerate(steps):
            table[:, number, place] = step
    rows = np.array([row for row, _ in found], dtype=np.intp)
    return WaySets(rows, np.array([base for _, (base, _) in found]), table[0], table[1], held)


def _kinds(has: Bools) -> tuple[Bools, Indices]:
    """Different rows of a table, and which of them each row is."""
    if has.shape[1] > MOST_BITS:
        kinds, kind = np.unique(has, axis=0, return_inverse=True)
        return kinds, kind.reshape(-1)
    codes = has @ (1 << np.arange(has.shape[1], dtype=np.int64)[::-1])
    _, first, kind = np.unique(codes, return_index=True, return_inverse=True)
    return has[first], kind


def _steps(fallback: float, ways: Sequence[Doing], owned: Bools) -> Steps:
    return steps_of([(fallback, 0.0), *(way for way, has in zip(ways, owned, strict=True) if has)])


@dataclass(frozen=True)
class Work:
    """What could be earned at M moments, in present values.

    Parameters
    ----------
    margin
        Of each stream, shape (K, M) [money].
    years
        Discounted time that each stream is there, shape (K, M) [years].
    whole
        Discounted time in which hours can be used, shape (M,) [years].

    Notes
    -----
    Over more than one period the hours count as if they could be put off within it.
    """

    margin: Floats
    years: Floats
    whole: Floats


@dataclass(frozen=True)
class HoursSeen:
    """Hours as one lattice meets them in a block of n futures.

    Parameters
    ----------
    price
        Price of an hour in each period, known at its start, shape (T, n) [money]; none where the
        lattice holds all that takes hours, so that the right price comes out by state.
    """

    attendance: Attendance
    price: Floats | None = None
