"""Futures: which work turns up when and earns what, and what a retrofit will cost.

The only module that makes random numbers.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from optioneer.arrays import Floats, Indices, Ints
from optioneer.valuation.worlds.points import BITS, sobol_points
from optioneer.valuation.worlds.scenario import Growth, triangular_quantile
from optioneer.valuation.worlds.timeline import EDGE, Timeline

_NO_LOTS = np.empty((0, 0))
REPLICATES = 16
"""Independently scrambled point sets; their spread gives honest standard errors."""


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
    life
        Whole periods that each stream lasts, shape (K, N); empty where that is the same in all.
    stay
        Period at whose start the machine is sold, 1..T, shape (N,); empty where it never is.
    lots
        Quantiles of chances, then of lives, then of the stay, shape (2 K + 1, N); empty where none
        is a range.
    """

    arrival: Ints
    level: Floats
    log_swing: tuple[Floats | None, ...]
    quantile: Floats
    drivers: Floats = field(default_factory=lambda: np.empty((0, 0)))
    shocks: Floats = field(default_factory=lambda: np.empty((0, 0)))
    life: Ints = field(default_factory=lambda: np.empty((0, 0), dtype=np.int32))
    stay: Ints = field(default_factory=lambda: np.empty(0, dtype=np.int32))
    lots: Floats = field(default_factory=lambda: np.empty((0, 0)))

    @cached_property
    def count(self) -> int:
        """Number of futures N."""
        return int(self.arrival.shape[-1])

    def block(self, start: int, stop: int) -> "Futures":
        """Futures `start` to `stop`, as views."""
        return self._part(slice(start, stop))

    def every(self, step: int) -> "Futures":
        """Every so many futures, as views."""
        return self._part(slice(None, None, step))

    def at(self, some: Indices) -> "Futures":
        """The futures at some places, as copies."""
        return self._part(some)

    def _part(self, some: slice | Indices) -> "Futures":
        told = {each.name: getattr(self, each.name) for each in fields(self)}
        swings = tuple(x if x is None else x[:, some] for x in told.pop("log_swing"))
        parts = {name: x[..., some] if x.shape[-1] else x for name, x in told.items()}
        return Futures(log_swing=swings, **parts)

    def arriving(self, growth: Growth, timeline: Timeline) -> "Futures":
        """The same draws under other chances, arrival years, lives, stays or nudges.

        What was known when they were drawn may be another value now, but no range.
        """
        known = np.full((2 * len(growth.keys) + 1, self.count), 0.5)
        lots = self.lots if self.lots.size else known
        arrival = arrival_period(growth, timeline, self.drivers, self.shocks, lots)
        life, stay = lives_and_stay(growth, timeline, lots)
        return replace(self, arrival=arrival, life=life, stay=stay)

    def lasting(self, growth: Growth, stream: int) -> Ints:
        """Whole periods that one stream lasts, shape (N,) or (1,)."""
        return self.life[stream] if self.life.size else growth.life[stream : stream + 1]


def margin_in(
    growth: Growth, timeline: Timeline, futures: Futures, *, stream: int, period: int
) -> Floats:
    """Margin per year of one stream in one period, 0 when it is not there, shape (N,)."""
    arrival = futures.arrival[stream]
    here = (arrival <= period) & (period < arrival + futures.lasting(growth, stream))
    if futures.stay.size:
        here &= period < futures.stay
    factor = (1.0 + growth.growth[stream]) ** timeline.years[period]
    path = futures.log_swing[stream]
    swing: Floats | float = 1.0
    if path is not None:
        first = np.minimum(arrival, timeline.periods - 1).astype(np.intp)
        since = path[period] - np.take_along_axis(path, first[None], axis=0)[0]
        swing = np.exp(np.where(here, since, 0.0))
    margin: Floats = futures.level[stream] * factor * swing * here
    return margin


def margin_in_all(growth: Growth, timeline: Timeline, futures: Futures, *, stream: int) -> Floats:
    """Discounted margin of one stream until it ends or the machine goes, shape (N,) [money]."""
    arrival = futures.arrival[stream]
    end = np.minimum(arrival + futures.lasting(growth, stream), timeline.periods)
    if futures.stay.size:
        end = np.maximum(np.minimum(end, futures.stay), np.minimum(arrival, timeline.periods))
    if (path := futures.log_swing[stream]) is None:
        factor = (1.0 + growth.growth[stream]) ** timeline.years[:-1]
        sums = np.append(0.0, np.cumsum(factor * timeline.during * timeline.dt))
        plain: Floats = futures.level[stream] * (sums[end] - sums[arrival])
        return plain
    total, first = np.zeros(futures.count), np.minimum(arrival, timeline.periods - 1)
    began = np.take_along_axis(path, first[None].astype(np.intp), axis=0)[0]
    for t in range(timeline.periods):
        here = (arrival <= t) & (t < end)
        swing = np.exp(np.where(here, path[t] - began, 0.0))
        grown = (1.0 + growth.growth[stream]) ** timeline.years[t]
        total += timeline.during[t] * timeline.dt * (futures.level[stream] * grown * swing * here)
    return total


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
    that order. Every multiplier (one dimension, where such a sequence is a stratified sample),
    the swing of every stream, and every chance, life or stay that is a range has a sequence of its
    own, in shuffled order, so that none of them changes any other draw. Each of several
    independent scramblings gives one replicate.
    """
    swings = tuple(key for key, swing in zip(growth.keys, growth.swing, strict=True) if swing > 0.0)
    draws = _draws(growth.loadings.shape, options, swings, timeline.periods, count, (seed, use))
    lots = _lots(growth, count, (seed, use))
    life, stay = lives_and_stay(growth, timeline, lots)
    level = np.empty_like(draws.margin)
    for k, share in enumerate(draws.margin):
        level[k] = triangular_quantile(share, growth.margin[k])
    return Futures(
        arrival=arrival_period(growth, timeline, draws.drivers, draws.shocks, lots),
        level=level,
        log_swing=tuple(
            _log_swing(swing, timeline, draws.steps[key]) if key in draws.steps else None
            for key, swing in zip(growth.keys, growth.swing, strict=True)
        ),
        quantile=draws.quantile,
        drivers=draws.drivers,
        shocks=draws.shocks,
        life=life,
        stay=stay,
        lots=lots,
    )


def lives_and_stay(growth: Growth, timeline: Timeline, lots: Floats) -> tuple[Ints, Ints]:
    """Whole periods that streams last and the machine is kept, as `Futures` has them.

    Parameters
    ----------
    lots
        As those of `Futures`.
    """
    streams, count = len(growth.keys), lots.shape[1]
    life, stay = np.empty((0, 0), dtype=np.int32), np.empty(0, dtype=np.int32)
    if any(each is not None for each in growth.lasts):
        life = np.repeat(growth.life[:, None], count, axis=1)
        for k, bounds in enumerate(growth.lasts):
            if bounds is not None:
                life[k] = timeline.lasting(triangular_quantile(lots[streams + k], bounds))
    if growth.stay is not None:
        stay = timeline.lasting(triangular_quantile(lots[2 * streams], growth.stay))
    return life, stay


def _lots(growth: Growth, count: int, key: tuple[int, int]) -> Floats:
    """Quantiles of all ranges, as `Futures` has them; 0.5 where there is no range."""
    if not growth.has_ranges:
        return np.empty((0, 0))
    streams = len(growth.keys)
    ranges = (
        *((k, 3, name) for k, name in enumerate(growth.keys) if growth.chance_range(k) is not None),
        *(
            (streams + k, 4, name)
            for k, name in enumerate(growth.keys)
            if growth.life_range(k) is not None
        ),
        *([(2 * streams, 5, "")] if growth.stay is not None else []),
    )
    return _lots_of(2 * streams + 1, ranges, count, key)


@lru_cache(maxsize=6)
def _lots_of(
    rows: int, ranges: tuple[tuple[int, int, str], ...], count: int, key: tuple[int, int]
) -> Floats:
    """The same by row, kind and name of each range; the last few are kept as `_draws` are."""
    lots, sizes = np.full((rows, count), 0.5), np.diff(replicate_edges(count))
    for row, kind, name in ranges:
        parts = (
            _stratified_points(int(size), _generator_of(name, (*key, replicate, kind)))
            for replicate, size in enumerate(sizes)
        )
        lots[row] = _joined(parts)
    lots.flags.writeable = False
    return lots


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
        parts = [_stratified_points(size, _generator_of(name, (*own, 1))) for size, own in sets]
        np.concatenate(parts, out=quantile[o])
    steps = {
        name: ndtri(
            _joined(
                _shuffled_points(periods, size, _generator_of(name, (*own, 2)))
                for size, own in sets
            )
        )
        for name in swings
    }
    found = _Draws(normal[:drivers], normal[drivers:], points[drivers + streams :], quantile, steps)
    for kept in (normal, points, quantile, *steps.values()):
        kept.flags.writeable = False
    return found


def _joined(sets: Iterable[Floats]) -> Floats:
    return np.concatenate(list(sets), axis=-1)


def arrival_period(
    growth: Growth, timeline: Timeline, drivers: Floats, shocks: Floats, lots: Floats = _NO_LOTS
) -> Ints:
    """Period in which each stream shows up, shape (K, N); T means never.

    Parameters
    ----------
    drivers
        Standard normal drivers before their nudge, shape (F, N).
    shocks
        Each stream's own standard normal shock, shape (K, N).
    lots
        As those of `Futures`, where chances are ranges.

    Notes
    -----
    ``z = loadings (drivers + nudge) + own shock``, ``u = 1 - Phi(z)``; the stream shows up when
    ``u < chance``, at the triangular quantile of ``u / chance``: a small u comes early.
    """
    z = growth.loadings @ (drivers + growth.nudge[:, None]) + growth.own[:, None] * shocks
    u = ndtr(-z)
    period = np.full(u.shape, timeline.periods, dtype=np.int32)
    for k, known in enumerate(growth.chance):
        bounds = growth.chance_range(k)
        chance = (
            np.full(u[k].shape, known) if bounds is None else triangular_quantile(lots[k], bounds)
        )
        # What is certain comes however far a nudge pushes it away: rounding may make u a whole 1.
        comes = (u[k] < chance) | (chance >= 1.0)
        years = triangular_quantile(u[k, comes] / chance[comes], growth.years[k])
        start = np.floor(years * timeline.periods_per_year + EDGE)
        # Work that came before the machine was there starts with it.
        period[k, comes] = np.clip(start, 0, timeline.periods).astype(np.int32)
    return period


def _log_swing(volatility: float, timeline: Timeline, draws: Floats) -> Floats:
    steps = draws * (volatility * np.sqrt(timeline.dt))
    steps -= 0.5 * volatility**2 * timeline.dt
    path: Floats = np.cumsum(steps, axis=0)
    return path


def _generator_of(name: str, key: tuple[int, ...]) -> np.random.Generator:
    # Of words a generator is made in less than half the time that it takes of whole numbers.
    words = [word for number in key for word in _words(number)]
    return np.random.default_rng(np.array([*words, *name.encode()], dtype=np.uint32))


def _words(number: int) -> Iterator[int]:
    """The number, at least 0, in parts of 32 bits, lowest first, as generators take it."""
    yield number & 0xFFFF_FFFF
    while number := number >> 32:
        yield number & 0xFFFF_FFFF


def _stratified_points(size: int, rng: np.random.Generator) -> Floats:
    """One point in each of `size` equal parts of 0..1, shuffled: Sobol in one dimension."""
    points: Floats = (rng.permutation(size) + rng.random(size)) / size
    return points


def _shuffled_points(dimensions: int, size: int, rng: np.random.Generator) -> Floats:
    points = _sobol(dimensions, size, rng)
    return points[:, rng.permutation(size)]


def _sobol(dimensions: int, size: int, rng: np.random.Generator) -> Floats:
    if dimensions == 0:
        return np.empty((0, size))
    # The middle of the cell: a point may be 0, of which the normal quantile is not finite.
    return sobol_points(dimensions, size, rng) + 0.5 * 2.0**-BITS


def drawn_shares(rows: int, count: int, *, seed: int) -> Floats:
    """Independent uniform numbers in [0, 1), shape (rows, count), for runs of a task network."""
    return np.random.default_rng(seed).random((rows, count))


def quasi_random(rows: int, count: int, *, seed: int) -> Floats:
    """Scrambled Sobol points between 0 and 1, shape (rows, count), for inputs that are varied."""
    return _sobol(rows, count, np.random.default_rng(seed))
