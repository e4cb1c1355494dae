"""The news of one period, read piece by piece: what might have been told instead."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.special import ndtr

from optioneer.arrays import Floats, Indices, Ints
from optioneer.valuation.lattice.view import View

KNOTS = np.array([-2.0, -1.0, 0.0, 1.0, 2.0])
"""Where the worth of a swinging margin is looked at [standard deviations of a period's step]."""

NO_WEIGHT = 1e-12
"""Weights below which a piece of news is not looked at."""


@dataclass(frozen=True)
class NewsOutlook:
    """What some of the futures might look like at the start of a period.

    `columns` are futures, each once; `arrival` and `life` of all streams and `known` levels of the
    lattice's are as they might be; `weight` is how the worth counts.
    """

    columns: Indices
    arrival: Ints
    life: Ints
    known: Floats
    weight: Floats

    @classmethod
    def joined(cls, parts: "list[NewsOutlook]") -> "NewsOutlook":
        """All of `parts` side by side."""
        return cls(
            np.concatenate([part.columns for part in parts]),
            np.concatenate([part.arrival for part in parts], axis=1),
            np.concatenate([part.life for part in parts], axis=1),
            np.concatenate([part.known for part in parts], axis=1),
            np.concatenate([part.weight for part in parts]),
        )


class NewsReading:
    """The news of one period, read one stream after another.

    Parameters
    ----------
    view
        A block of n futures.
    hazard
        Chance of arriving now of the lattice's streams, shape (K, n).
    t
        Period.

    Notes
    -----
    `arrival` and `known` hold what has been read so far: streams that are not read yet look as if
    nothing happened. `weight` is what the outlook read so far counts, (E - actual), until the
    next news changes it.
    """

    def __init__(self, view: View, hazard: Floats, t: int) -> None:
        self.view, self.hazard, self.t = view, hazard, t
        self.actual = view.futures.arrival
        self.arrival = np.where(self.actual == t, view.timeline.periods, self.actual)
        self.known = view.known_level(range(t - 1, t))
        self.life = self._life_so_far
        self.there = view.stay > t
        self.weight = np.where(self.there, -self.sale, (view.stay == t) * (1.0 - self.sale))

    @property
    def _life_so_far(self) -> Ints:
        """Lives as they look before the news: what may end any time lasts, until it has ended."""
        life = self.view.futures.life.copy()
        for k in range(len(life)):
            if self.view.growth.life_range(k) is not None:
                lasts = self.actual[k] + life[k] >= self.t
                life[k, lasts] = self.view.timeline.periods
        return life

    @property
    def sale(self) -> float:
        """Chance that a machine that was there a period ago is sold now."""
        lives = self.view.lives
        if lives is None or lives.chance_kept[self.t - 1] <= 0.0:
            return 0.0
        return float(lives.chance_sold[self.t] / lives.chance_kept[self.t - 1])

    def for_the_sale(self) -> Floats:
        """What each state pays for its part in the news whether the machine is sold, (P, n)."""
        if not self.view.futures.stay.size:
            return np.zeros((self.view.lattice.size, self.view.futures.count))
        weight = np.where(self.there, self.sale, (self.view.stay == self.t) * (self.sale - 1.0))
        return -self.view.receipts(self.t)[:, None] * weight

    @cached_property
    def after(self) -> Floats:
        """Levels once all is read, shape (K, n)."""
        return self.view.known_level(range(self.t, self.t + 1))

    def outlooks(self) -> Iterator[NewsOutlook]:
        """Every outlook that counts, with its weight."""
        for row, k in enumerate(self.view.lattice.streams):
            yield from self._arrivals(row, int(k))
            yield from self._ends(row, int(k))
            yield from self._swings(row, int(k))
            yield self._read_news_of(row, int(k))
        rest = np.flatnonzero(np.abs(self.weight) > NO_WEIGHT)
        yield self._outlook(rest, self.weight[rest])

    def _outlook(self, columns: Indices, weight: Floats) -> NewsOutlook:
        return NewsOutlook(
            columns,
            self.arrival[:, columns],
            self.life[:, columns] if self.life.size else self.life,
            self.known[:, columns],
            weight,
        )

    def _arrivals(self, row: int, k: int) -> Iterator[NewsOutlook]:
        """Stream `k` comes with its lowest or its highest margin, or stays away."""
        away = (self.actual[k] >= self.t) & self.there
        away &= (self.hazard[row] > 0.0) | (self.actual[k] == self.t)
        columns = np.flatnonzero(away)
        chance = self.hazard[row, columns]
        comes = (self.actual[k, columns] == self.t).astype(np.float64)
        self.weight[columns] += comes - chance
        low, likely, high = self.view.growth.margin[k]
        width = high - low
        mean, at = 0.0, np.zeros(len(columns))
        if width > 0.0:
            mean = (likely + high - 2.0 * low) / (3.0 * width)
            at = (self.view.futures.level[k, columns] - low) / width
        ends = [(low, chance * (1.0 - mean) - comes * (1.0 - at))]
        if width > 0.0:
            ends.append((high, chance * mean - comes * at))
        for level, weight in ends:
            outlook = self._outlook(columns, weight)
            outlook.arrival[k], outlook.known[row] = self.t, level
            yield outlook

    def _ends(self, row: int, k: int) -> Iterator[NewsOutlook]:
        """Stream `k`, which was there a period ago, has ended."""
        lives = self.view.lives
        if lives is None or self.view.growth.life_range(k) is None:
            return
        was = (self.actual[k] < self.t) & (self.view.end[row] >= self.t) & self.there
        columns = np.flatnonzero(was)
        age = self.t - self.actual[k, columns]
        before, after = lives.chance_lasting[row][age - 1], lives.chance_lasting[row][age]
        chance = 1.0 - np.divide(after, before, out=np.zeros_like(after), where=before > 0.0)
        ended = (self.view.end[row, columns] == self.t).astype(np.float64)
        self.weight[columns] += ended - chance
        outlook = self._outlook(columns, chance - ended)
        outlook.life[k], outlook.known[row] = age, 0.0
        yield outlook

    def _swings(self, row: int, k: int) -> Iterator[NewsOutlook]:
        """The margin of a stream that is here moves to one of a few knots."""
        columns = self._swinging(row, k)
        if not len(columns):
            return
        step = float(self.view.growth.swing[k] * np.sqrt(self.view.timeline.dt))
        knots = np.exp(KNOTS * step - 0.5 * step**2)
        before = self.known[row, columns]
        weights = knot_means(knots, step)[:, None] - knot_shares(
            knots, self.after[row, columns] / before
        )
        for knot, weight in zip(knots, weights, strict=True):
            outlook = self._outlook(columns, weight)
            outlook.known[row] = before * knot
            yield outlook

    def _swinging(self, row: int, k: int) -> Indices:
        if self.view.growth.swing[k] <= 0.0:
            return np.empty(0, dtype=np.intp)
        here = (self.actual[k] < self.t) & (self.view.end[row] > self.t) & self.there
        return np.flatnonzero(here & (self.known[row] > 0.0))

    def _read_news_of(self, row: int, k: int) -> NewsOutlook:
        """What counted until the news of stream `k` was read, where it changes anything."""
        news = (self.actual[k] == self.t) | (self.known[row] != self.after[row])
        changed = np.flatnonzero(news & self.there)
        outlook = self._outlook(changed, self.weight[changed])
        self.weight[changed] = 0.0
        self.arrival[k, changed] = self.actual[k, changed]
        self.known[row, changed] = self.after[row, changed]
        if self.life.size:
            ended = changed[self.view.end[row, changed] <= self.t]
            self.life[k, ended] = self.view.futures.life[k, ended]
        return outlook


def knot_shares(knots: Floats, x: Floats) -> Floats:
    """Weights of the knots in straight lines between them at `x`, shape (J, n).

    The outermost lines go on beyond the ends.

    Parameters
    ----------
    knots
        Rising, shape (J,), J >= 2.
    x
        Shape (n,).
    """
    left = np.clip(np.searchsorted(knots, x) - 1, 0, len(knots) - 2)
    share = (x - knots[left]) / (knots[left + 1] - knots[left])
    shares = np.zeros((len(knots), len(x)))
    columns = np.arange(len(x))
    shares[left, columns] = 1.0 - share
    shares[left + 1, columns] = share
    return shares


def knot_means(knots: Floats, step: float) -> Floats:
    """Expected `knot_shares` of a lognormal variable with mean 1, shape (J,).

    Parameters
    ----------
    knots
        Rising and above 0, shape (J,), J >= 2.
    step
        Standard deviation of the logarithm, above 0.

    Notes
    -----
    Straight lines are sums of calls: ``E (x - K)+ = Phi(d) - K Phi(d - step)`` with
    ``d = step / 2 - ln(K) / step``.
    """
    d = 0.5 * step - np.log(knots[1:-1]) / step
    calls = ndtr(d) - knots[1:-1] * ndtr(d - step)
    slopes = np.diff(np.eye(len(knots)), axis=0) / np.diff(knots)[:, None]
    bends = np.diff(slopes, axis=0)
    means: Floats = np.eye(len(knots))[0] + slopes[0] * (1.0 - knots[0]) + calls @ bends
    return means
