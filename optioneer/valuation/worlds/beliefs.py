"""What can be known, at each date, of the chance that work arrives next."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.special import ndtr, ndtri

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.worlds.futures import Futures
from optioneer.valuation.worlds.scenario import Growth, triangular_share
from optioneer.valuation.worlds.timeline import Timeline

REACH = 4.5
"""How far the grid of a hidden driver reaches [standard deviations]; 7e-6 lies beyond."""

WIDEST = 0.5
"""Widest spacing of that grid [standard deviations]."""

SHARP = 0.7
"""Least ratio of a posterior's standard deviation to the spacing: the rule of equal steps then errs
by about exp(-2 pi^2 0.7^2) = 6e-5 for a normal density."""

MOST_NODES = 4096
"""Nodes of the grid; with more hidden drivers the least important ones are taken as known."""

LEAST_OWN = 0.2
"""With less of a shock of its own a stream tells its drivers too sharply for a grid."""

NODES = 24
"""Nodes of each mean over a chance that nobody knows."""

KNOT = 0.02
"""Spacing of the knots between which such a mean is read [own shocks]."""

CERTAIN = 1e-13
"""Chance of still being away below which an arrival is certain."""


def arrival_hazards(
    growth: Growth, timeline: Timeline, futures: Futures, streams: Indices
) -> Floats:
    """Chance that each of `streams`, away so far, arrives in each period, shape (K, T, n).

    Parameters
    ----------
    futures
        Drawn worlds, with their drivers.
    streams
        Indices of K streams.

    Returns
    -------
    ndarray
        Given every arrival in earlier periods, and in the same period those of the streams that
        come before in `streams`. Meaningless once the stream is here.

    Notes
    -----
    Given the drivers, streams arrive independently of each other: ``P(arrived before t) =
    Phi((loadings (drivers + nudge) - b[t]) / own)`` with b[t] the upper-tail normal quantile of
    chance times the triangular share. Drivers that `streams` hang on are hidden: they are averaged
    over their posterior distribution, by the rule of equal steps on a grid. The others are taken as
    known, which is more than the shop can know and so never raises a bound built on it.
    """
    beliefs = _Beliefs(growth, timeline, futures, streams)
    found = np.zeros((len(streams), timeline.periods, futures.count))
    for row, t, away, hazard in beliefs.seen():
        found[row, t, away] = hazard
    return found


@dataclass(frozen=True)
class _Beliefs:
    growth: Growth
    timeline: Timeline
    futures: Futures
    streams: Indices

    @cached_property
    def hidden(self) -> Indices:
        """Drivers that are averaged over."""
        drivers = _hideable(self.growth, self.streams)
        while np.prod([len(line) for line in self._lines(drivers)]) > MOST_NODES:
            drivers = drivers[:-1]
        return drivers

    def _lines(self, drivers: Indices) -> list[Floats]:
        sharpness = 1.0 + (self.growth.loadings / np.maximum(self._own, LEAST_OWN)[:, None]) ** 2
        spacing = np.minimum(WIDEST, 1.0 / (SHARP * np.sqrt(sharpness.sum(axis=0))))
        steps = np.ceil(REACH / spacing)
        return [np.linspace(-REACH, REACH, 2 * int(steps[d]) + 1) for d in drivers]

    @cached_property
    def nodes(self) -> Floats:
        """Values of the hidden drivers, shape (hidden, Q)."""
        if not len(self.hidden):
            return np.zeros((0, 1))
        grids = np.meshgrid(*self._lines(self.hidden), indexing="ij")
        nodes = np.array(grids).reshape(len(self.hidden), -1)
        inside: Floats = nodes[:, (nodes**2).sum(axis=0) <= REACH**2]
        return inside

    @cached_property
    def _own(self) -> Floats:
        return np.maximum(self.growth.own, 1e-9)

    @cached_property
    def _order(self) -> list[int]:
        """The streams asked about, then the others that tell something of hidden drivers."""
        asked = [int(k) for k in self.streams]
        telling = self.growth.loadings[:, self.hidden].any(axis=1)
        return asked + [int(k) for k in np.flatnonzero(telling) if k not in asked]

    @cached_property
    def _known_parts(self) -> dict[int, Floats]:
        """Part of z that known drivers and nudges cause, shape (n, 1); (1, 1) where it is one."""
        return {k: self._known_part(k) for k in self._order}

    def _known_part(self, k: int) -> Floats:
        loadings = self.growth.loadings[k].copy()
        shift = np.full((1, 1), loadings @ self.growth.nudge)
        loadings[self.hidden] = 0.0
        drivers = np.flatnonzero(loadings)
        if not len(drivers):
            return shift
        part: Floats = shift + (loadings[drivers] @ self.futures.drivers[drivers])[:, None]
        return part

    @cached_property
    def _share(self) -> Floats:
        """Triangular share of arrivals before each period, shape (K, T + 1)."""
        years = self.timeline.years
        share = np.stack([triangular_share(years, bounds) for bounds in self.growth.years])
        share[self.growth.years[:, 0] < 0.0, 0] = 0.0  # came before, arrives with the machine
        return share

    @cached_property
    def _bound(self) -> Floats:
        bound = -ndtri(np.clip(self.growth.chance[:, None] * self._share, 1e-300, 1.0))
        bound[self._share <= 0.0] = np.inf
        return bound

    def _chance_arrived(self, k: int, t: int, some: Indices) -> Floats:
        """Chance of having arrived before `t`, shape (n, Q), one row where it is alike in all.

        Parameters
        ----------
        some
            Places of n futures.
        """
        known = self._known_parts[k] if self._alike(k) else self._known_parts[k][some]
        caused = known + self.growth.loadings[k, self.hidden] @ self.nodes
        bounds = self.growth.chance_range(k)
        if bounds is not None:
            own = float(self._own[k])
            return arrived_by_range(caused, own, bounds, float(self._share[k, t]))
        caused -= self._bound[k, t]
        caused /= self._own[k]
        return np.asarray(ndtr(caused, out=caused))

    def _alike(self, k: int) -> bool:
        """Whether known drivers cause the same part of z in all futures."""
        return len(self._known_parts[k]) == 1

    def seen(self) -> Iterator[tuple[int, int, Indices, Floats]]:
        """Row, period, places of n futures and hazard, shape (n,), of all that may arrive then.

        Of futures in which all the streams asked about are here nothing needs to be known.
        """
        prior = np.exp(-0.5 * (self.nodes**2).sum(axis=0))
        some = np.arange(self.futures.count)
        weight = np.repeat(prior[None], len(some), axis=0)
        before = {k: self._chance_arrived(k, 0, some) for k in self._order}
        for t in range(self._last + 1):
            awaited = (self.futures.arrival[self.streams][:, some] >= t).any(axis=0)
            some, weight = some[awaited], weight[awaited]
            before = {k: b if self._alike(k) else b[awaited] for k, b in before.items()}
            weight /= weight.sum(axis=1, keepdims=True)
            for row, k in enumerate(self._order):
                if self._share[k, t + 1] <= 0.0 or self._share[k, t] >= 1.0:
                    continue
                away = np.flatnonzero(self.futures.arrival[k, some] >= t)
                hazard = self._hazard(before, k, t, (some, away))
                if row < len(self.streams):
                    yield row, t, some[away], _means(hazard, weight[away])
                self._learn(weight, hazard, away, self.futures.arrival[k, some[away]] == t)

    def _hazard(
        self, before: dict[int, Floats], k: int, t: int, among: tuple[Indices, Indices]
    ) -> Floats:
        """Chance of arriving in `t` of a stream away so far, shape (n, Q) or (1, Q).

        `before`, the chances of having arrived before, is brought up to date in place, for those of
        some futures in which the stream is away.
        """
        some, away = among
        now = self._chance_arrived(k, t + 1, some[away])
        if self._alike(k):
            hazard, before[k] = _hazard(before[k], now), now
        else:
            hazard = _hazard(before[k][away], now)
            before[k][away] = now
        return hazard

    @property
    def _last(self) -> int:
        """Last period in which one of the streams asked about may arrive; -1 if none may."""
        shares = self._share[self.streams]
        may = (shares[:, 1:] > 0.0) & (shares[:, :-1] < 1.0)
        return int(np.flatnonzero(may.any(axis=0)).max(initial=-1))

    @staticmethod
    def _learn(weight: Floats, hazard: Floats, away: Indices, comes: Bools) -> None:
        """Weigh the nodes, in place, by how likely they make what a stream did.

        Parameters
        ----------
        weight
            Of each node in each future, shape (n, Q).
        hazard
            Of the stream in the futures in which it was `away`, shape (m, Q) or (1, Q).
        comes
            Where it does come, shape (m,).
        """
        for here, chance in ((comes, hazard), (~comes, 1.0 - hazard)):
            places = away[here]
            told = weight[places]
            told *= chance if len(chance) == 1 else chance[here]
            # A future that cannot be tells nothing.
            possible = told.any(axis=1)
            if possible.all():
                weight[places] = told
            else:
                weight[places[possible]] = told[possible]


def _means(values: Floats, weight: Floats) -> Floats:
    """Mean of values, shape (n, Q) or (1, Q), by weight, shape (n, Q)."""
    if len(values) == 1:
        return np.asarray(weight @ values[0] / weight.sum(axis=1))
    return np.asarray(np.einsum("nq,nq->n", weight, values) / weight.sum(axis=1))


def arrived_by_range(caused: Floats, own: float, bounds: Floats, share: float) -> Floats:
    """Chance of having arrived of a stream whose chance nobody knows, shape as `caused`.

    Parameters
    ----------
    caused
        Part of z that known drivers and nudges cause.
    own
        Weight of the stream's own shock, > 0.
    bounds
        Lowest, likeliest, highest chance, shape (3,).
    share
        Triangular share of arrivals so far, 0..1.

    Notes
    -----
    The mean over chances of ``Phi((caused + Phi^-1(chance share)) / own)``; where little is the
    stream's own, that over its shock of the chance of a chance above ``u / share``: each is smooth.
    The first hangs on one number, so that for many of them it is worked out on a line, with its
    slope, and read between by cubics: with knots `KNOT` own shocks apart they err by 1e-10.
    """
    if share <= 0.0:
        return np.zeros_like(caused)
    if own < LEAST_OWN:
        shocks, weights = np.polynomial.hermite_e.hermegauss(NODES)
        u = ndtr(-(caused[..., None] + own * shocks))
        found: Floats = (1.0 - triangular_share(u / share, bounds)) @ (weights / weights.sum())
        return found
    least, most = float(caused.min()), float(caused.max())
    knots = int((most - least) / (KNOT * own)) + 2
    if caused.size <= knots or most <= least:
        return _mean_over_chances(caused, own, bounds, share)[0]
    line = np.linspace(least, most, knots)
    return _read_between(line, *_mean_over_chances(line, own, bounds, share), caused)


def _read_between(line: Floats, values: Floats, slopes: Floats, at: Floats) -> Floats:
    """Cubic Hermite interpolation on knots of one spacing.

    SciPy's own brings libraries along that take longer to load than this takes.
    """
    step = line[1] - line[0]
    place = (at - line[0]) / step
    knot = np.minimum(place.astype(np.intp), len(line) - 2)
    x = place - knot
    rise, here, there = np.diff(values)[knot], step * slopes[:-1][knot], step * slopes[1:][knot]
    bend = 3.0 * rise - 2.0 * here - there
    read: Floats = values[knot] + x * (here + x * (bend + x * (here + there - 2.0 * rise)))
    return read


def _mean_over_chances(
    caused: Floats, own: float, bounds: Floats, share: float
) -> tuple[Floats, Floats]:
    """See `arrived_by_range`; and the slope along `caused`."""
    total, slope = np.zeros_like(caused), np.zeros_like(caused)
    for chance, weight in zip(*chance_nodes(bounds), strict=True):
        shock = (caused + ndtri(max(chance * share, 1e-300))) / own
        total += weight * ndtr(shock)
        slope += weight * np.exp(-0.5 * shock**2)
    return total, slope / (own * np.sqrt(2.0 * np.pi))


def chance_nodes(bounds: Floats) -> tuple[Floats, Floats]:
    """Nodes and weights of means over a triangular chance, its two sides apart.

    Parameters
    ----------
    bounds
        Lowest, likeliest, highest, shape (3,).
    """
    low, likely, high = (float(bound) for bound in bounds)
    points, weights = np.polynomial.legendre.leggauss(NODES)
    rising = 0.5 * (low + likely + (likely - low) * points)
    falling = 0.5 * (likely + high + (high - likely) * points)
    # On each side the density is a straight line; its mass is that side's part of the width.
    mass = np.concatenate(
        [(likely - low) * weights * (1.0 + points), (high - likely) * weights * (1.0 - points)]
    )
    return np.concatenate([rising, falling]), mass / (2.0 * (high - low))


def _hazard(before: Floats, now: Floats) -> Floats:
    away, step = 1.0 - before, now - before
    certain = away <= CERTAIN
    if certain.any():
        away[certain], step[certain] = 1.0, 0.0
    step /= away
    return np.clip(step, 0.0, 1.0, out=step)


def _hideable(growth: Growth, streams: Indices) -> Indices:
    """Drivers that `streams` hang on, the most important first, unless told too sharply."""
    importance = (growth.loadings[streams] ** 2).sum(axis=0)
    sharp = growth.loadings[growth.own < LEAST_OWN].any(axis=0)
    drivers = np.flatnonzero((importance > 0.0) & ~sharp)
    ranked: Indices = drivers[np.argsort(-importance[drivers], kind="stable")]
    return ranked
