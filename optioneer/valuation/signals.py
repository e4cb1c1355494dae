"""What the learned rule looks at: numbers known at a date that tell of work still to come."""

from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
from scipy.special import ndtri
from scipy.stats import norm

from optioneer.valuation.futures import Growth, triangular_quantile
from optioneer.valuation.lattice import Lattice
from optioneer.valuation.timeline import Floats, Timeline
from optioneer.valuation.view import View, multiplier_draws

SATURATED = 4
"""Up to this many streams every combination of arrived and not arrived has its own number."""


@dataclass(frozen=True)
class Scores:
    """What an arrival, or its absence, says of a stream's latent variable z.

    Parameters
    ----------
    seen
        Mean of z, less its own mean, given arrival in each period, shape (K, T).
    absent
        The same given no arrival up to and including each period, shape (K, T).
    gain
        Weights that turn all scores into each stream's expected part of z that drivers cause,
        shape (K, K): the normal regression ``B (B + diag(own**2))**-1`` with B the covariance
        that the drivers give.
    """

    seen: Floats
    absent: Floats
    gain: Floats


ABSENCE_DOUBT, OTHER_DOUBT = 1e-4, 0.1
"""Ridge penalties, relative to a signal's variance; chosen by trial on invented cases."""

NO_MASS = 1e-12
"""Probability below which an interval of z is never met."""


def scores(growth: Growth, timeline: Timeline) -> Scores:
    """Scores of every stream, by period.

    Notes
    -----
    z is normal with mean ``loadings nudge`` and variance 1; given an interval of its values its
    mean is that of a truncated normal variable.
    """
    shift = growth.loadings @ growth.nudge
    edges = np.stack(
        [
            growth.chance[k] * _arrival_share(growth.years[k], timeline)
            for k in range(len(growth.keys))
        ]
    )
    # A large z is an early arrival: period p lies between two upper-tail quantiles of z.
    bounds = -ndtri(np.clip(edges, 1e-300, 1.0)) - shift[:, None]
    common = growth.loadings @ growth.loadings.T
    total = common + np.diag(growth.own**2) + 1e-9 * np.eye(len(common))
    return Scores(
        seen=_truncated_mean(bounds[:, 1:], bounds[:, :-1]),
        absent=_truncated_mean(np.full_like(bounds[:, 1:], -np.inf), bounds[:, 1:]),
        gain=np.asarray(np.linalg.solve(total, common).T, dtype=np.float64),
    )


def _arrival_share(years: Floats, timeline: Timeline) -> Floats:
    """Probability of arriving before the start of each period, given arrival, shape (T + 1,)."""
    grid = np.linspace(0.0, 1.0, 2049)
    quantile = triangular_quantile(grid, years)
    return np.interp(timeline.years, quantile, grid, left=0.0, right=1.0)


def _truncated_mean(low: Floats, high: Floats) -> Floats:
    mass = norm.cdf(high) - norm.cdf(low)
    mean = (norm.pdf(low) - norm.pdf(high)) / np.maximum(mass, 1e-300)
    # An interval without mass is never met; any bounded number will do.
    return np.where(mass > NO_MASS, np.clip(mean, -9.0, 9.0), 0.0)


@dataclass(frozen=True)
class Signals:
    """The numbers of one lattice.

    Parameters
    ----------
    lattice
        What is valued.
    growth, timeline
        The scenario and its clock.
    scores
        From `scores`; none when no stream of the scenario hangs on a driver.
    """

    lattice: Lattice
    growth: Growth
    timeline: Timeline
    scores: Scores | None

    @cached_property
    def pairs(self) -> tuple[tuple[int, int], ...]:
        """Pairs of rows of streams that some state serves together differently than apart."""
        rows = range(len(self.lattice.streams))
        return tuple(pair for pair in combinations(rows, 2) if self._related(*pair))

    def _related(self, first: int, second: int) -> bool:
        return any(self._uses(axis, first) and self._uses(axis, second) for axis in self._axes)

    @property
    def _axes(self) -> range:
        return range(len(self.lattice.shape))

    def _uses(self, axis: int, row: int) -> bool:
        lost = self.lattice.lost[:, row].reshape(self.lattice.shape)
        return bool(np.ptp(lost, axis=axis).max() > 0)

    @cached_property
    def subsets(self) -> tuple[tuple[int, ...], ...]:
        """Sets of rows whose joint absence is a number of its own."""
        rows = range(len(self.lattice.streams))
        if len(rows) <= SATURATED:
            return tuple(s for size in range(1, len(rows) + 1) for s in combinations(rows, size))
        return tuple((row,) for row in rows) + self.pairs

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
        )

    @cached_property
    def _multipliers(self) -> tuple[tuple[int, tuple[int, ...]], ...]:
        """Targets with an uncertain multiplier, each with the rows of streams it serves."""
        rows = range(len(self.lattice.streams))
        return tuple(
            (i, tuple(row for row in rows if self._uses(target.axis, row)))
            for i, target in enumerate(self.lattice.targets)
            if np.ptp(target.bounds) > 0
        )

    def doubt(self, count: int) -> Floats:
        """How much each of `count` numbers is shrunk towards telling nothing, shape (F,).

        Relative to its variance: nothing for the constant, little for who is absent, more for
        the rest, of which most tell little and each costs some precision.
        """
        doubt = np.full(count, OTHER_DOUBT)
        doubt[: 1 + len(self.subsets)] = ABSENCE_DOUBT
        doubt[0] = 0.0
        return doubt

    def at(self, view: View, t: int, known: Floats) -> Floats:
        """The numbers at the start of `t`, shape (F, n); the first is always 1.

        Parameters
        ----------
        view
            A block of n futures.
        t
            Period.
        known
            From ``view.known_level(t)``, shape (K, n).
        """
        absent = (view.arrival > t).astype(np.float64)
        rows = [np.ones(absent.shape[-1])]
        rows += [np.prod(absent[list(subset)], axis=0) for subset in self.subsets]
        rows += self._of_margins(view, t, known)
        rows += self._of_drivers(view, t, absent)
        rows += self._of_multipliers(view, absent)
        return np.stack(rows)

    def _of_margins(self, view: View, t: int, known: Floats) -> list[Floats]:
        left = view.remaining(known, t + 1)
        rows: list[Floats] = []
        for row in self._uncertain:
            x = left[row] / self._scale[row]
            rows += [x, x * x]
        return rows

    @cached_property
    def _scale(self) -> Floats:
        means = self.growth.margin[self.lattice.streams].mean(axis=1)
        scale: Floats = np.maximum(means * self.timeline.annuity[0], 1.0)
        return scale

    def _of_drivers(self, view: View, t: int, absent: Floats) -> list[Floats]:
        if self.scores is None:
            return []
        arrival = view.futures.arrival
        last = self.timeline.periods - 1
        seen = np.take_along_axis(self.scores.seen, np.minimum(arrival, last).astype(np.intp), 1)
        score = np.where(arrival <= t, seen, self.scores.absent[:, t][:, None])
        outlook = self.scores.gain[self.lattice.streams] @ score
        rows: list[Floats] = []
        for row, k in enumerate(self.lattice.streams):
            if self.growth.loadings[k].any():
                rows += [absent[row] * outlook[row], absent[row] * outlook[row] ** 2]
        return rows

    def _of_multipliers(self, view: View, absent: Floats) -> list[Floats]:
        rows: list[Floats] = []
        for i, served in self._multipliers:
            target = self.lattice.targets[i]
            spread = multiplier_draws(target, view.futures)[0] - target.bounds.mean()
            rows += [spread, *(spread * absent[row] for row in served)]
        return rows
