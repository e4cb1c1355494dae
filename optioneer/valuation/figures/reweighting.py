"""Means over futures that lean towards another value of one figure, without valuing anything anew.

What a package costs on average at another value is a weighted mean of what it costs in the futures
that were drawn; these are the weights. They serve all packages alike.
"""

import numpy as np
from scipy.special import ndtr, ndtri

from optioneer.arrays import Bools, Floats
from optioneer.valuation.worlds.futures import Futures
from optioneer.valuation.worlds.scenario import Growth, triangular_quantile

LEAST_OWN = 0.05
"""Weight of a stream's own shock below which the drivers decide nearly alone whether it comes."""

LEAST_SPREAD = 1e-9
"""A value that differs less from future to future, as a part of it, tells nothing."""

FEWEST = 24
"""Futures below which no curve is fitted."""

_EVEN = np.linspace(0.0, 1.0, 17)[1:] - 1.0 / 32.0


def score(growth: Growth, futures: Futures, stream: int) -> Floats:
    """Share u of each future below which a chance brings the stream, shape (N,)."""
    loads = growth.loadings[stream]
    z = loads @ (futures.drivers + growth.nudge[:, None])
    return np.asarray(ndtr(-(z + growth.own[stream] * futures.shocks[stream])))


def chance_drawn(growth: Growth, futures: Futures, stream: int) -> Floats:
    """The chance of a stream in each future, shape (N,)."""
    bounds = growth.chance_range(stream)
    if bounds is None:
        return np.full(futures.count, growth.chance[stream])
    return triangular_quantile(futures.lots[stream], bounds)


def due(growth: Growth, futures: Futures, stream: int) -> Bools:
    """Whether a stream comes at all, be it after the horizon, shape (N,)."""
    chance = chance_drawn(growth, futures, stream)
    return np.asarray((score(growth, futures, stream) < chance) | (chance >= 1.0))


def chance_given_drivers(growth: Growth, futures: Futures, stream: int, chance: float) -> Floats:
    """Chance that a stream comes once its drivers are known, shape (N,).

    ``Phi((a (F + nudge) - Phi^-1(1 - chance)) / own)``, in 0..1. Where drivers leave nearly nothing
    to chance it is that of all futures alike.
    """
    own, common = float(growth.own[stream]), growth.loadings[stream]
    at = common @ (futures.drivers + growth.nudge[:, None])
    if own < LEAST_OWN:
        own, at = 1.0, np.full(futures.count, float(common @ growth.nudge))
    if chance <= 0.0 or chance >= 1.0:
        return np.full(futures.count, float(chance >= 1.0))
    return np.asarray(ndtr((at - ndtri(1.0 - chance)) / own))


def chance_weights(growth: Growth, futures: Futures, stream: int, chance: float) -> Floats | None:
    """Weights under another chance of one stream, shape (N,), sum 1.

    Parameters
    ----------
    stream
        Its index.
    chance
        The other chance.

    Returns
    -------
    None where the futures drawn do not show both that it comes and that it stays away, and the
    other chance needs both.

    Notes
    -----
    Costs are linear in the chance that work comes, given its drivers: ``w = q' / q`` where it comes
    and ``(1 - q') / (1 - q)`` where not, q that chance before and q' after (a likelihood ratio).
    """
    comes = due(growth, futures, stream)
    bounds = growth.chance_range(stream)
    known = (
        [growth.chance[stream]]
        if bounds is None
        else triangular_quantile(np.asarray(_EVEN, dtype=np.float64), bounds)
    )
    before = np.mean([chance_given_drivers(growth, futures, stream, p) for p in known], axis=0)
    after = chance_given_drivers(growth, futures, stream, chance)
    if (chance > 0.0 and not comes.any()) or (chance < 1.0 and comes.all()):
        return None
    part = np.where(comes, before, 1.0 - before)
    ratio = np.where(comes, after, 1.0 - after) / np.maximum(part, 1e-12)
    return np.asarray(ratio / ratio.sum())


def moved_weights(
    value: Floats, moved: Floats, controls: Floats, among: Bools, *, curved: bool = True
) -> Floats | None:
    """Weights under another value of a drawn figure, shape (N,), sum 1.

    Parameters
    ----------
    value, moved
        The figure in each future, and what it is instead, shape (N,).
    controls
        What goes with it and stays, shape (F, N).
    among
        Futures in which it counts, shape (N,).
    curved
        Whether costs may bend with the figure; of two values a line is all that is known.

    Returns
    -------
    None where the figure is the same in all of them.

    Notes
    -----
    A quadratic in the figure is fitted to the costs by least squares, the controls beside it, and
    moves each future by the difference of its heights: with X the terms and d the mean change of
    the terms the weights are ``1/N + X (X'X)^-1 d``. They hang on no cost.
    """
    count = len(value)
    seen, there = value[among], moved[among]
    scale = float(seen.std()) if len(seen) >= FEWEST else 0.0
    if scale <= LEAST_SPREAD * max(float(np.abs(seen).max(initial=0.0)), 1.0):
        return None
    middle = float(seen.mean())
    x, to = (seen - middle) / scale, (there - middle) / scale
    powers = (1, 2) if curved else (1,)
    terms = np.stack([np.ones(len(x)), *(x**power for power in powers), *controls[:, among]])
    change = np.zeros(len(terms))
    for power in powers:
        change[power] = (to**power - x**power).sum() / count
    weights = np.full(count, 1.0 / count)
    weights[among] += np.linalg.pinv(terms @ terms.T) @ change @ terms
    return weights
