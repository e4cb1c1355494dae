"""What arrivals, and their absence, say of the drivers behind them."""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from optioneer.arrays import Floats, Indices
from optioneer.valuation.worlds.scenario import Growth, triangular_quantile
from optioneer.valuation.worlds.timeline import Timeline

NO_MASS = 1e-12
"""Probability below which an interval of z is never met."""


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

    def by_arrival(self, streams: Indices, periods: range) -> Floats:
        """Scores of J streams at the start of S periods if each comes in any, (J, S, T + 1).

        Not of all periods at once: with weeks over decades that would be gigabytes.
        """
        last = self.seen.shape[1] - 1
        came = np.arange(last + 2)
        here = came <= np.arange(periods.start, periods.stop)[:, None]
        seen = self.seen[streams][:, None, np.minimum(came, last)]
        return np.where(here, seen, self.absent[streams, periods.start : periods.stop, None])


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
    share = np.interp(timeline.years, quantile, grid, left=0.0, right=1.0)
    if years[0] < 0.0:  # what came before the machine was there arrives with it
        share[0] = 0.0
    return share


def _truncated_mean(low: Floats, high: Floats) -> Floats:
    mass = ndtr(high) - ndtr(low)
    density = np.exp(-0.5 * np.stack([low, high]) ** 2) / np.sqrt(2.0 * np.pi)
    mean = (density[0] - density[1]) / np.maximum(mass, 1e-300)
    # An interval without mass is never met; any bounded number will do.
    return np.where(mass > NO_MASS, np.clip(mean, -9.0, 9.0), 0.0)
