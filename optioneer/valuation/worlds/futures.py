"""Futures: which work turns up when and earns what, and what a retrofit will cost.

The only module that makes random numbers.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri
from scipy.stats import qmc

from optioneer.valuation.arrays import Floats, Ints
from optioneer.valuation.worlds.timeline import Timeline

REPLICATES = 16
"""Independently scrambled point sets; their spread gives honest standard errors."""

SOBOL_BITS = 30
"""Binary digits of a quasi-random number: it is the lower end of a cell of this size."""

_EDGE = 1e-9
"""Slack [periods] so that a certain arrival on a period's edge falls into that period."""


@dataclass(frozen=True)
class Growth:
    """The growth scenario as arrays: K streams, F drivers.

    Parameters
    ----------
    keys
        Names of the streams; a stream's swing is drawn by its name.
    chance
        Of showing up, shape (K,), in 0..1.
    years
        Earliest, likeliest, latest arrival, shape (K, 3) [years after first chips].
    margin
        Low, likely, high, shape (K, 3) [money/year at the order date].
    growth
        Of the margin, shape (K,) [1/year].
    swing
        Volatility of the margin once there, shape (K,) [1/sqrt(year)].
    life
        Whole periods that a stream lasts, shape (K,); the number of periods if to the horizon.
    loadings
        On the drivers, shape (K, F); squares of a row sum to at most 1.
    nudge
        Shift of each driver, shape (F,) [standard deviations].
    """

    keys: tuple[str, ...]
    chance: Floats
    years: Floats
    margin: Floats
    growth: Floats
    swing: Floats
    life: Ints
    loadings: Floats
    nudge: Floats

    @cached_property
    def own(self) -> Floats:
        """Weight of a stream's own shock, sqrt(1 - sum of squared loadings), shape (K,)."""
        common: Floats = (self.loadings**2).sum(axis=1)
        return np.sqrt(np.clip(1.0 - common, 0.0, None))


@dataclass(frozen=True)
class Futures:
    """N drawn worlds, the axis of futures last.

    Parameters
    ----------
    arrival
        Period in which a stream shows up, shape (K, N); the number of periods T means never.
    level
        Margin level of a stream, shape (K, N) [money/year].
    log_swing
        Logarithm of a geometric Brownian motion with mean 1 since period 0, shape (K, T, N) for
        swinging streams, none for the others.
    quantile
        Quantile of every option's retrofit multiplier, shape (O, N).
    drivers
        Standard normal drivers before their nudge, shape (F, N); the shop never sees them.
    shocks
        Each stream's own standard normal shock, shape (K, N). Both are empty for futures that
        were not drawn.
    """

    arrival: Ints
    level: Floats
    log_swing: tuple[Floats | None, ...]
    quantile: Floats
    drivers: Floats = field(default_factory=lambda: np.empty((0, 0)))
    shocks: Floats = field(default_factory=lambda: np.empty((0, 0)))

    @property
    def count(self) -> int:
        """Number of futures N."""
        return int(self.arrival.shape[-1])

    def block(self, start: int, stop: int) -> "Futures":
        """Futures `start` to `stop`, as views."""
        return Futures(
            arrival=self.arrival[:, start:stop],
            level=self.level[:, start:stop],
            log_swing=tuple(x if x is None else x[:, start:stop] for x in self.log_swing),
            quantile=self.quantile[:, start:stop],
            drivers=self.drivers[:, start:stop],
            shocks=self.shocks[:, start:stop],
        )

    def every(self, step: int) -> "Futures":
        """Every so many futures, as views."""
        return Futures(
            arrival=self.arrival[:, ::step],
            level=self.level[:, ::step],
            log_swing=tuple(x if x is None else x[:, ::step] for x in self.log_swing),
            quantile=self.quantile[:, ::step],
            drivers=self.drivers[:, ::step],
            shocks=self.shocks[:, ::step],
        )

    def arriving(self, growth: Growth, timeline: Timeline) -> "Futures":
        """The same draws under other chances, arrival years or nudges."""
        arrival = arrival_period(growth, timeline, self.drivers, self.shocks)
        return replace(self, arrival=arrival)


def margin_in(
    growth: Growth, timeline: Timeline, futures: Futures, *, stream: int, period: int
) -> Floats:
    """Margin per year of one stream in one period, 0 when it is not there, shape (N,)."""
    arrival = futures.arrival[stream]
    here = (arrival <= period) & (period < arrival + growth.life[stream])
    factor = (1.0 + growth.growth[stream]) ** timeline.years[period]
    path = futures.log_swing[stream]
    swing: Floats | float = 1.0
    if path is not None:
        first = np.minimum(arrival, timeline.periods - 1).astype(np.intp)
        since = path[period] - np.take_along_axis(path, first[None], axis=0)[0]
        swing = np.exp(np.where(here, since, 0.0))
    margin: Floats = futures.level[stream] * factor * swing * here
    return margin


def triangular_quantile(u: Floats, bounds: Floats) -> Floats:
    """Value below which a triangular variable stays with probability `u`.

    Parameters
    ----------
    u
        Probabilities in 0..1, any shape.
    bounds
        Low, likely, high, shape (3,); all equal means certain.

    Notes
    -----
    ``low + sqrt(u (high-low)(likely-low))`` up to the likeliest value, then
    ``high - sqrt((1-u)(high-low)(high-likely))``.

    References
    ----------
    Kotz & van Dorp, *Beyond Beta*, World Scientific 2004, ch. 1 (standard formula, from memory).
    """
    low, likely, high = (float(bound) for bound in bounds)
    width = high - low
    rising = low + np.sqrt(u * width * (likely - low))
    falling = high - np.sqrt((1.0 - u) * width * (high - likely))
    return np.where(u * width < likely - low, rising, falling)


def triangular_share(x: Floats, bounds: Floats) -> Floats:
    """Probability that a triangular variable stays below `x`, any shape.

    Parameters
    ----------
    x
        Values.
    bounds
        Low, likely, high, shape (3,); all equal means certain, then 1 above and 0 up to it.
    """
    low, likely, high = (float(bound) for bound in bounds)
    if high <= low:
        return np.asarray(x > low, dtype=np.float64)
    x = np.clip(x, low, high)
    rising = (x - low) ** 2 / ((high - low) * max(likely - low, 1e-300))
    falling = 1.0 - (high - x) ** 2 / ((high - low) * max(high - likely, 1e-300))
    return np.where(x < likely, rising, falling)


def replicate_edges(count: int) -> NDArray[np.int64]:
    """Edges of the independently scrambled point sets among `count` futures.

    At least four futures a set, so that each is worth the name of a sample.
    """
    sets = min(REPLICATES, max(2, count // 4))
    return np.array([count * r // sets for r in range(sets + 1)])


def drawn_futures(
    growth: Growth, timeline: Timeline, *, options: tuple[str, ...], count: int, seed: int, use: int
) -> Futures:
    """N futures, reproducible by `seed`.

    Parameters
    ----------
    growth, timeline
        The scenario and its clock.
    options
        Names of the options whose multipliers are drawn; each is drawn by its own name, so that
        adding or reordering options changes no other draw.
    count
        Number of futures N >= 8.
    seed
        One seed gives one set of futures.
    use
        0 for the futures a package is valued on, 1 for those its rule is learned from, 2 for those
        that its gap is proven on; others for any further use.

    Notes
    -----
    Drivers, arrival shocks and margin levels share one scrambled Sobol sequence, dimensions in
    that order. Every multiplier (one dimension, where such a sequence is a stratified sample)
    and the swing of every stream has a sequence of its own, in shuffled order. Each of several
    independent scramblings gives one replicate.
    """
    swings = tuple(key for key, swing in zip(growth.keys, growth.swing, strict=True) if swing > 0.0)
    draws = _draws(growth.loadings.shape, options, swings, timeline.periods, count, (seed, use))
    level = np.empty_like(draws.margin)
    for k, share in enumerate(draws.margin):
        level[k] = triangular_quantile(share, growth.margin[k])
    return Futures(
        arrival=arrival_period(growth, timeline, draws.drivers, draws.shocks),
        level=level,
        log_swing=tuple(
            _log_swing(swing, timeline, draws.steps[key]) if key in draws.steps else None
            for key, swing in zip(growth.keys, growth.swing, strict=True)
        ),
        quantile=draws.quantile,
        drivers=draws.drivers,
        shocks=draws.shocks,
    )


@dataclass(frozen=True)
class _Draws:
    """What chance decides, whatever the figures of the scenario.

    Parameters
    ----------
    drivers, shocks, quantile
        As those of `Futures`.
    margin
        Quantile of each stream's margin level, shape (K, N).
    steps
        Of each swinging stream, by name, standard normal steps, shape (T, N).
    """

    drivers: Floats
    shocks: Floats
    margin: Floats
    quantile: Floats
    steps: Mapping[str, Floats]


@lru_cache(maxsize=6)
def _draws(
    shape: tuple[int, ...],
    options: tuple[str, ...],
    swings: tuple[str, ...],
    periods: int,
    count: int,
    key: tuple[int, int],
) -> _Draws:
    """All draws of one seed and use; the last few are kept, for what-ifs ask for them again.

    `shape` is the number of streams and of drivers.
    """
    streams, drivers = shape
    sets = [
        (int(size), (*key, replicate))
        for replicate, size in enumerate(np.diff(replicate_edges(count)))
    ]
    points = _joined(
        _sobol(drivers + 2 * streams, size, np.random.default_rng([*own, 0])) for size, own in sets
    )
    normal = ndtri(points[: drivers + streams])
    quantile = np.empty((len(options), count))
    for o, name in enumerate(options):
        parts = [_stratified(size, _named(name, (*own, 1))) for size, own in sets]
        np.concatenate(parts, out=quantile[o])
    steps = {
        name: ndtri(
            _joined(_shuffled(periods, size, _named(name, (*own, 2))) for size, own in sets)
        )
        for name in swings
    }
    found = _Draws(normal[:drivers], normal[drivers:], points[drivers + streams :], quantile, steps)
    for kept in (normal, points, quantile, *steps.values()):
        kept.flags.writeable = False
    return found


def _joined(sets: Iterable[Floats]) -> Floats:
    return np.concatenate(list(sets), axis=-1)


def arrival_period(growth: Growth, timeline: Timeline, drivers: Floats, shocks: Floats) -> Ints:
    """Period in which each stream shows up, shape (K, N); T means never.

    Parameters
    ----------
    growth, timeline
        The scenario and its clock.
    drivers
        Standard normal drivers before their nudge, shape (F, N).
    shocks
        Each stream's own standard normal shock, shape (K, N).

    Notes
    -----
    ``z = loadings (drivers + nudge) + own shock``, ``u = 1 - Phi(z)``; the stream shows up when
    ``u < chance``, at the triangular quantile of ``u / chance``: a small u comes early.
    """
    z = growth.loadings @ (drivers + growth.nudge[:, None]) + growth.own[:, None] * shocks
    u = ndtr(-z)
    period = np.full(u.shape, timeline.periods, dtype=np.int32)
    for k, chance in enumerate(growth.chance):
        # What is certain comes however far a nudge pushes it away: rounding may make u a whole 1.
        comes = (u[k] < chance) | (chance >= 1.0)
        years = triangular_quantile(u[k, comes] / chance, growth.years[k])
        start = np.floor(years * timeline.periods_per_year + _EDGE)
        period[k, comes] = np.minimum(start, timeline.periods).astype(np.int32)
    return period


def _log_swing(volatility: float, timeline: Timeline, draws: Floats) -> Floats:
    steps = draws * (volatility * np.sqrt(timeline.dt))
    steps -= 0.5 * volatility**2 * timeline.dt
    path: Floats = np.cumsum(steps, axis=0)
    return path


def _named(name: str, key: tuple[int, ...]) -> np.random.Generator:
    return np.random.default_rng([*key, *name.encode()])


def _stratified(size: int, rng: np.random.Generator) -> Floats:
    """One point in each of `size` equal parts of 0..1, shuffled: Sobol in one dimension."""
    points: Floats = (rng.permutation(size) + rng.random(size)) / size
    return points


def _shuffled(dimensions: int, size: int, rng: np.random.Generator) -> Floats:
    points = _sobol(dimensions, size, rng)
    return points[:, rng.permutation(size)]


def _sobol(dimensions: int, size: int, rng: np.random.Generator) -> Floats:
    if dimensions == 0:
        return np.empty((0, size))
    sampler = qmc.Sobol(dimensions, bits=SOBOL_BITS, scramble=True, rng=rng)
    points = sampler.random_base2(int(np.ceil(np.log2(size))))[:size]
    # The middle of the cell: a point may be 0, of which the normal quantile is not finite.
    points += 0.5 * 2.0**-SOBOL_BITS
    return np.ascontiguousarray(points.T)


def drawn_shares(rows: int, count: int, *, seed: int) -> Floats:
    """Independent uniform numbers in [0, 1), shape (rows, count), for runs of a task network."""
    return np.random.default_rng(seed).random((rows, count))


def quasi_random(rows: int, count: int, *, seed: int) -> Floats:
    """Scrambled Sobol points between 0 and 1, shape (rows, count), for inputs that are varied."""
    return _sobol(rows, count, np.random.default_rng(seed))
