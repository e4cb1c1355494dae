"""The shop as a whole: all work that takes hours, and what an hour is worth with it."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.hours import Attendance, WaySets
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.levels import outline_of
from optioneer.valuation.lattice.view import View
from optioneer.valuation.shared_hours.margins import Margins


@dataclass(frozen=True)
class Shop:
    """All streams that take hours, and how much each way is taken for owned when hours are priced.

    Parameters
    ----------
    outline
        Those streams, K of them, without states.
    sets
        Their C sets of ways, numbered through all clusters.
    shares
        Share to which each set is taken for owned by its stream in each period, shape (T, C): the
        price of an hour hangs on no package.
    """

    outline: Lattice
    sets: WaySets
    shares: Floats

    def price(self, view: View, attendance: Attendance) -> Floats:
        """Price of an hour in each period and future, shape (T, n) [money].

        It is right for a shop that needs for each stream the mean of the hours of its sets.

        Parameters
        ----------
        view
            Futures as the outline meets them.
        """
        margins, sets = Margins(view), self.sets
        there = margins.there
        price = np.zeros(there.shape[1:])
        # A likeliest future may be shorter than the futures that the shares are of.
        taken = sets.hours * self.shares[: len(price), :, None]
        for run in _runs_alike(taken != 0.0):
            own, step = np.nonzero(taken[run.start])
            row, hours = sets.row[own], taken[run][:, own, step]
            needed = _summed(zip(hours.T[..., None], there[row][:, run], strict=True), price[run])
            t, future = np.nonzero(needed > attendance.hours)
            gain = sets.slope[own, step][:, None] * margins.at(row, run.start + t, future)
            price[run][t, future] = _right_price(gain, hours[t].T, attendance)
        return price

    def met(self, view: View, held: Indices, attendance: Attendance) -> tuple[Floats, Floats]:
        """Hours that all the work would take, and the price of one, shape (T, n) each.

        Parameters
        ----------
        view
            Futures as the outline meets them.
        held
            Sets of ways owned in each period and future, shape (K, T, n).

        Returns
        -------
        Hours a year if every stream that is here is done whole by the ways that earn most of it
        [hours/year], and what one more hour would earn [money].
        """
        margin = self.margins(view)
        needed, price = np.zeros(margin.shape[1:]), np.zeros(margin.shape[1:])
        for t in range(len(needed)):
            steps = held_steps(self.sets, held[:, t])
            needed[t] = (steps.hours * (steps.gain(margin[:, t]) > 0.0)).sum(axis=0)
            price[t] = right_price(steps, margin[:, t], attendance)
        return needed, price

    def margins(self, view: View) -> Floats:
        """Margin a year of the streams in each period and future, shape (K, T, n) [money]."""
        everything = range(view.timeline.periods)
        margin = view.expected_margin(view.known_level(everything), everything)
        worth = view.timeline.during * view.timeline.dt
        return np.asarray(margin.reshape(len(margin), len(worth), -1) / worth[:, None])


@dataclass(frozen=True)
class Taken:
    """What J steps of owned ways take at each of M moments, or at all of them alike.

    Parameters
    ----------
    row
        Stream of each step, shape (J,).
    slope, hours
        Share an hour and hours a year, shape (J, M) or (J, 1).
    """

    row: Indices
    slope: Floats
    hours: Floats

    def gain(self, margin: Floats) -> Floats:
        """What one hour of each step earns, from the margins of the streams, (J, M) [money]."""
        return self.slope * margin[self.row]


def held_steps(sets: WaySets, held: Indices) -> Taken:
    """The steps of the sets that are held, shape (K, M) or (K, 1)."""
    slope, hours = (
        table.T[:, held].reshape(table.shape[1] * len(held), held.shape[1])
        for table in (sets.slope, sets.hours)
    )
    kept = np.flatnonzero(hours.any(axis=1))
    return Taken(kept % len(held), slope[kept], hours[kept])


def _runs_alike(taken: Bools) -> list[slice]:
    """Runs of periods with the same steps, from which there are in each, shape (T, C, J)."""
    new = np.flatnonzero((taken[1:] != taken[:-1]).any(axis=(1, 2))) + 1
    edges = pairwise([0, *new.tolist(), len(taken)])
    return [slice(*edge) for edge in edges if taken[slice(*edge)].any()]


def hours_needed(sets: WaySets, held: Indices, there: Bools) -> Floats:
    """Hours a year that all work takes which earns something, shape (M,).

    Parameters
    ----------
    held
        Set of each stream, shape (K, M).
    there
        Whether each stream earns anything, shape (K, M).
    """
    steps = (
        (step.take(own), here)
        for step in sets.hours.T
        for own, here in zip(held, there, strict=True)
    )
    return _summed(steps, np.empty(held.shape[1]))


def _summed(steps: Iterable[tuple[Floats, Bools]], like: Floats) -> Floats:
    """Hours of steps that earn something, one after the other."""
    total = np.zeros_like(like)
    for hours, here in steps:
        total += hours * here
    return total


def right_price(steps: Taken, margin: Floats, attendance: Attendance) -> Floats:
    """Price of an hour with the ways that are owned, shape (M,) [money].

    Parameters
    ----------
    margin
        Of each stream, shape (K, M) [money/year].

    Notes
    -----
    The steps that earn most an hour come first: a knapsack whose things may be cut. The price is
    what an hour earns in the first step that no longer fits whole, at most what one beyond costs.
    """
    return _right_price(steps.gain(margin), steps.hours, attendance)


def _right_price(gain: Floats, hours: Floats, attendance: Attendance) -> Floats:
    price, hours = np.zeros(gain.shape[1]), hours * (gain > 0.0)
    short = np.flatnonzero(hours.sum(axis=0) > attendance.hours)
    if len(short):
        gain, hours = gain[:, short], hours[:, short]
        order, moments = np.argsort(gain, axis=0)[::-1], np.arange(len(short))
        used = np.cumsum(hours[order, moments], axis=0)
        first = (used > attendance.hours).argmax(axis=0)
        price[short] = gain[order[first, moments], moments]
    return np.minimum(price, attendance.beyond)


def overpaid(steps: Taken, margin: Floats, price: Floats, attendance: Attendance) -> Floats:
    """What work seems to earn at a price of an hour beyond what its best mix earns, shape (M,).

    Never below 0: at the right price the two are the same [money/year].
    """
    gain = steps.gain(margin)
    right = _right_price(gain, steps.hours, attendance)
    beyond = np.maximum(gain - price, 0.0)
    beyond -= np.maximum(gain - right, 0.0)
    beyond *= steps.hours
    return np.asarray(beyond.sum(axis=0) + (price - right) * attendance.hours)


def earned_in(steps: Taken, margin: Floats, attendance: Attendance) -> Floats:
    """What the best mix earns by hours, beyond the shares that take none, shape (M,) [money/year].

    Parameters
    ----------
    margin
        Of each stream, shape (K, M) [money/year].
    """
    gain = steps.gain(margin)
    price = _right_price(gain, steps.hours, attendance)
    each = np.maximum(gain - price, 0.0) * steps.hours
    return np.asarray(each.sum(axis=0) + price * attendance.hours)


def idle_shop() -> Shop:
    """A shop without work that takes hours."""
    none, table = np.empty(0, dtype=np.intp), np.empty((0, 0))
    sets = WaySets(none, np.empty(0), table, table, np.empty((0, 0), dtype=np.intp))
    return Shop(outline_of(none), sets, np.empty((0, 0)))
