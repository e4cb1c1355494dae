"""How likely every combination of arrival periods is, drivers included."""

from collections.abc import Sequence
from functools import reduce

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream

Array = NDArray[np.float64]

STEP, REACH = 0.1, 8.5
LEAST_OWN = 0.1
SLICES = 200
"""The trapezoid rule at `STEP` is exact to rounding while a stream keeps this much of its own."""


def share_before(years: Triangular, moment: float) -> float:
    """Probability that a triangular arrival comes before a moment: F(moment)."""
    low, likely, high = years.low, years.likely, years.high
    if moment <= low + 1e-12:
        return 0.0
    if moment >= high:
        return 1.0
    if moment <= likely:
        return (moment - low) ** 2 / ((high - low) * (likely - low))
    return 1 - (high - moment) ** 2 / ((high - low) * (high - likely))


def chances_before(case: Case, stream: Stream) -> Array:
    """Probability that a stream has come before the start of period 0, 1, ... T, shape (T+1,)."""
    starts = [period / case.growth.periods_per_year for period in range(case.growth.periods + 1)]
    shares = np.array([share_before(stream.years, moment) for moment in starts])
    return np.asarray(stream.mean_chance * shares)


def chances_by_weight(case: Case, stream: Stream) -> list[tuple[float, Array]]:
    """The chances of having come, by what the chance of the stream may be, with their weights.

    A chance that nobody knows is averaged over the middles of many equal slices of its range.
    """
    chance = stream.chance
    if not isinstance(chance, Triangular) or chance.certain:
        return [(1.0, chances_before(case, stream))]
    edges = np.linspace(chance.low, chance.high, SLICES + 1)
    mass = np.diff([share_before(chance, float(edge)) for edge in edges])
    shares = chances_before(case, stream) / stream.mean_chance
    middles = 0.5 * (edges[1:] + edges[:-1])
    return [(float(w), c * shares) for w, c in zip(mass, middles, strict=True)]


def marginal(case: Case, stream: Stream) -> Array:
    """Probability of each arrival period 0..T-1 and of never, without drivers, shape (T+1,)."""
    before = chances_before(case, stream)
    return np.append(np.diff(before), 1 - before[-1])


def driven(case: Case, stream: Stream, forces: Array) -> Array:
    """Probability of each arrival period and of never given the drivers, shape (T+1, worlds).

    With own = sqrt(1 - sum of squared loadings), u = 1 - Phi(z) is below c with probability
    Phi((loaded - Phi^-1(1 - c)) / own), where `loaded` is the drivers' part of z.
    """
    loadings = [stream.drivers.get(driver.id, 0.0) for driver in case.growth.driver]
    own = np.sqrt(1 - sum(a * a for a in loadings))
    if own < LEAST_OWN:
        raise ValueError(f"{stream.id}: the drivers leave it less than {LEAST_OWN} of its own")
    nudged = forces + np.array([[driver.nudge] for driver in case.growth.driver])
    loaded = np.array(loadings) @ nudged
    before = sum(
        weight * ndtr((loaded - ndtri(1 - chances)[:, None]) / own)
        for weight, chances in chances_by_weight(case, stream)
    )
    return np.vstack([np.diff(before, axis=0), 1 - before[-1:]])


def worlds(drivers: int) -> tuple[Array, Array]:
    """Drivers' values, shape (drivers, worlds), and each world's weight, shape (worlds,)."""
    line = np.arange(-REACH, REACH + STEP / 2, STEP)
    density = np.exp(-0.5 * line**2)
    grids = np.meshgrid(*[line] * drivers, indexing="ij")
    weights = outer([density / density.sum()] * drivers)
    return np.array([grid.ravel() for grid in grids]), weights.ravel()


def outer(factors: Sequence[Array]) -> Array:
    """The outer product of vectors, one axis each; of none, 1."""
    return np.asarray(reduce(np.multiply.outer, factors, np.array(1.0)))


def joint(case: Case) -> Array:
    """Probability of every combination of arrival periods, one axis a stream, T for never.

    Without loadings the product of the marginals; with loadings on one or two drivers their
    trapezoid rule on a dense grid, which for smooth functions under a normal density errs less
    than floats resolve.
    """
    streams = case.growth.stream
    if not any(loading for stream in streams for loading in stream.drivers.values()):
        return outer([marginal(case, stream) for stream in streams])
    forces, weights = worlds(len(case.growth.driver))
    *first, last = (driven(case, stream, forces) for stream in streams)
    total = weights[None, :]
    for given in first:
        total = (total[:, None, :] * given[None, :, :]).reshape(-1, weights.size)
    # Summed over the worlds as a product of matrices.
    return np.asarray((total @ last.T).reshape((case.growth.periods + 1,) * len(streams)))
