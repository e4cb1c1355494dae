"""What nobody could better: hindsight made to pay for what it knows too early."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from itertools import pairwise

import numpy as np
from scipy.special import ndtr

from optioneer.valuation.arrays import Floats, Indices, Ints
from optioneer.valuation.hours import HoursSeen
from optioneer.valuation.lattice.cluster import World
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.moves import best_moves
from optioneer.valuation.lattice.policy import (
    Mapper,
    Policy,
    Strands,
    flow_cost,
    horizon_cost,
    policy_steps,
    rule_estimate,
)
from optioneer.valuation.lattice.view import View
from optioneer.valuation.worlds.beliefs import arrival_hazards
from optioneer.valuation.worlds.futures import Futures

KNOTS = np.array([-2.0, -1.0, 0.0, 1.0, 2.0])
"""Where the worth of a swinging margin is looked at [standard deviations of a period's step]."""

TOGETHER = 2**20
"""States x futures x news looked at together."""

FEWEST_TOGETHER = 32
"""Futures that are looked at together at least, however many the states."""

NO_WEIGHT = 1e-12
"""Weights below which a piece of news is not looked at."""


@dataclass(frozen=True)
class Bounds:
    """Two costs after the order with the same sums of expectation 0 added, shape (P, n) each.

    Parameters
    ----------
    lower
        Hindsight that pays for what it knows too early; its mean is a lower bound on what any way
        of retrofitting costs that cannot see ahead.
    reached
        The learned policy; its mean is that of the policy's cost, its spread much smaller. In each
        future at least `lower`.
    """

    lower: Floats
    reached: Floats

    @classmethod
    def joined(cls, parts: "Sequence[Bounds]") -> "Bounds":
        """The futures of all `parts`."""
        return cls(
            np.concatenate([part.lower for part in parts], axis=1),
            np.concatenate([part.reached for part in parts], axis=1),
        )


def cluster_bounds(
    world: World, lattice: Lattice, policy: Policy, futures: Futures, run: Mapper
) -> Bounds:
    """Bounds on the cost after the order of every state of a cluster.

    Parameters
    ----------
    world
        Clock, scenario and scores.
    lattice, policy
        The cluster and what was learned for it.
    futures
        N futures, others than those learned from.
    run
        How to go through blocks of them.
    """
    pieces = len(KNOTS) if world.growth.swing[lattice.streams].any() else 2
    news = 1 + pieces * len(lattice.streams)
    size = max(TOGETHER // (lattice.size * news), FEWEST_TOGETHER)
    edges = pairwise([*range(0, futures.count, size), futures.count])
    blocks = (futures.block(start, stop) for start, stop in edges)
    return Bounds.joined(list(run(partial(_block_bounds, world, lattice, policy), blocks)))


def _block_bounds(world: World, lattice: Lattice, policy: Policy, futures: Futures) -> Bounds:
    view = world.view(lattice, futures)
    # Where nothing can be retrofitted no news changes what is done.
    heard = lattice.streams if lattice.targets else lattice.streams[:0]
    hazards = arrival_hazards(world.growth, world.timeline, futures, heard)
    return bounds(view, policy, hazards)


def bounds(view: View, policy: Policy, hazards: Floats) -> Bounds:
    """Bounds on the cost after the order of every state, from both sides.

    Parameters
    ----------
    view
        A block of n futures.
    policy
        The learned policy: the nearer its estimates are to the best possible, the nearer the two.
    hazards
        From ``beliefs.arrival_hazards`` for the lattice's streams and futures, shape (K, T, n).

    Notes
    -----
    With ``V`` the policy's estimate of the cost from t on, each piece of news that period t brings
    (a stream arrives or not, and with which margin; a margin swings) adds to each state ``E[V] -
    V``, the expectation taken over that piece alone, given all that came before it. For any policy
    that cannot see ahead the sum has expectation 0; with the best possible V hindsight would gain
    nothing any more. Every expectation is in closed form: over two outcomes, over a line between
    the ends of a margin, over straight lines between knots under a lognormal step; only the chances
    of arriving come from a grid, see `beliefs`.

    References
    ----------
    Brown, Smith & Sun, "Information relaxations and duality in stochastic dynamic programs",
    Operations Research 58 (2010) 785-801, propositions 2.1 and 2.2 (from memory).
    Rogers, "Monte Carlo valuation of American options", Mathematical Finance 12 (2002) 271-286
    (from memory).
    """
    lattice = view.lattice
    strands = Strands((policy,))
    lower, reached = horizon_cost(view), [horizon_cost(view) for _ in strands.followed]
    for t in range(view.timeline.periods - 1, -1, -1):
        if t + 1 < view.timeline.periods and lattice.targets:
            dues = _dues(view, policy, hazards[:, t + 1], t + 1)
            lower += dues
            reached = [cost + dues for cost in reached]
        now = range(t, t + 1)
        flow = flow_cost(view, now, view.known_level(now))
        if t > 0:
            lower[~lattice.valid] = np.inf
            lower = best_moves(lattice, view.charges(now), lower)
            reached = policy_steps(view, now, strands.followed, reached)
        else:
            reached = [cost + flow for cost in reached]
        lower += flow
    lower[~lattice.valid] = np.inf
    (followed,) = strands.costs(reached)
    followed[~lattice.valid] = np.inf
    return Bounds(lower, followed)


def _dues(view: View, policy: Policy, hazard: Floats, t: int) -> Floats:
    """What each state has to pay for knowing the news of `t`, shape (P, n) [money]."""
    dues = np.zeros((view.lattice.size, view.futures.count))
    outlooks = [outlook for outlook in _Reading(view, hazard, t).outlooks() if len(outlook.columns)]
    if not outlooks:
        return dues
    together = _Outlook.joined(outlooks)
    worth = _worth(view, policy, t, together)
    worth *= together.weight
    start = 0
    for outlook in outlooks:
        stop = start + len(outlook.columns)
        dues[:, outlook.columns] += worth[:, start:stop]
        start = stop
    return dues


@dataclass(frozen=True)
class _Outlook:
    """What some of the futures might look like at the start of a period.

    `columns` are futures, each once; `arrival` of all streams and `known` levels of the lattice's
    are as they might be; `weight` is how the worth counts.
    """

    columns: Indices
    arrival: Ints
    known: Floats
    weight: Floats

    @classmethod
    def joined(cls, parts: "list[_Outlook]") -> "_Outlook":
        """All of `parts` side by side."""
        return cls(
            np.concatenate([part.columns for part in parts]),
            np.concatenate([part.arrival for part in parts], axis=1),
            np.concatenate([part.known for part in parts], axis=1),
            np.concatenate([part.weight for part in parts]),
        )


def _worth(view: View, policy: Policy, t: int, outlook: _Outlook) -> Floats:
    """The policy's estimate of the cost of each state from `t` on, shape (P, m) [money]."""
    lattice, futures, known = view.lattice, view.futures, outlook.known
    there = View(
        lattice,
        view.timeline,
        view.growth,
        view.scores,
        Futures(
            arrival=outlook.arrival,
            level=futures.level[:, outlook.columns],
            # Levels already swung are handed over as known.
            log_swing=(None,) * len(futures.level),
            quantile=futures.quantile[:, outlook.columns],
        ),
        _hours_before(view.hours, t, outlook.columns),
    )
    now = range(t, t + 1)
    estimate = policy.corrected(there, now, known, rule_estimate(there, now, known))
    estimate[~lattice.valid] = np.inf
    worth = best_moves(lattice, there.charges(now), estimate)
    worth += flow_cost(there, now, known)
    worth[~lattice.valid] = 0.0
    return worth


def _hours_before(hours: HoursSeen | None, t: int, columns: Indices) -> HoursSeen | None:
    """Hours with the price known before the news of `t`, which may hang on the news."""
    if hours is None or hours.price is None:
        return hours
    price = np.zeros((t + 1, len(columns)))
    price[t] = hours.price[t - 1, columns]
    return HoursSeen(hours.attendance, price)


class _Reading:
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
        self.weight = np.zeros(view.futures.count)

    @cached_property
    def after(self) -> Floats:
        """Levels once all is read, shape (K, n)."""
        return self.view.known_level(range(self.t, self.t + 1))

    def outlooks(self) -> Iterator[_Outlook]:
        """Every outlook that counts, with its weight."""
        for row, k in enumerate(self.view.lattice.streams):
            yield from self._arrivals(row, int(k))
            yield from self._swings(row, int(k))
            yield self._read(row, int(k))
        rest = np.flatnonzero(np.abs(self.weight) > NO_WEIGHT)
        yield self._outlook(rest, self.weight[rest])

    def _outlook(self, columns: Indices, weight: Floats) -> _Outlook:
        return _Outlook(columns, self.arrival[:, columns], self.known[:, columns], weight)

    def _arrivals(self, row: int, k: int) -> Iterator[_Outlook]:
        """Stream `k` comes with its lowest or its highest margin, or stays away."""
        away = self.actual[k] >= self.t
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

    def _swings(self, row: int, k: int) -> Iterator[_Outlook]:
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
        here = (self.actual[k] < self.t) & (self.view.end[row] > self.t)
        return np.flatnonzero(here & (self.known[row] > 0.0))

    def _read(self, row: int, k: int) -> _Outlook:
        """What counted until the news of stream `k` was read, where it changes anything."""
        changed = np.flatnonzero((self.actual[k] == self.t) | (self.known[row] != self.after[row]))
        outlook = self._outlook(changed, self.weight[changed])
        self.weight[changed] = 0.0
        self.arrival[k, changed] = self.actual[k, changed]
        self.known[row, changed] = self.after[row, changed]
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
