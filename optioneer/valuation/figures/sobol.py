"""How much of an answer's variance each of its inputs explains."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.stats import bootstrap, sobol_indices

from optioneer.arrays import Floats
from optioneer.valuation.worlds.futures import quasi_random

CONFIDENCE = 0.95
"""Of the intervals."""

RESAMPLES = 199
"""Bootstrap samples behind them."""

STEADY = 1e-9
"""Standard deviation, relative to the size of an answer, below which nothing moves it."""

Function = Callable[[Floats], Floats]
"""From inputs, shape (D, n) in 0..1, to answers, shape (S, n)."""


Sample = dict[Literal["f_A", "f_B", "f_AB"], Floats]
"""Answers on two samples of the inputs, and on the first with one input of the second each."""


@dataclass(frozen=True)
class Interval:
    """Shares of variance with their confidence intervals, shape (S, D) each."""

    share: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True)
class Split:
    """The variance of S answers split over D inputs.

    Parameters
    ----------
    deviation
        Standard deviation of each answer over the inputs, shape (S,).
    first
        Share that an input explains alone.
    total
        Share that it explains alone and together with others.
    base
        The answers on the first sample of inputs, shape (S, n).
    """

    deviation: Floats
    first: Interval
    total: Interval
    base: Floats


def variance_split(function: Function, inputs: int, *, points: int, seed: int) -> Split:
    """Sobol indices of `function` over independent inputs, uniform on 0..1.

    Parameters
    ----------
    function
        Called ``inputs + 2`` times with n = `points` columns.
    inputs
        Number of inputs D, >= 1.
    points
        Number of points, a power of 2.
    seed
        One seed gives one set of points and one bootstrap.

    Raises
    ------
    ValueError
        If `points` is no power of 2.

    References
    ----------
    Saltelli et al., Computer Physics Communications 181 (2010) 259-270, as the library has it.
    """
    first, second = np.split(quasi_random(2 * inputs, points, seed=seed), 2)
    sample: Sample = {"f_A": function(first), "f_B": function(second)}
    sample["f_AB"] = np.stack([function(_swapped(first, second, i)) for i in range(inputs)])
    both = np.concatenate([sample["f_A"], sample["f_B"]], axis=1)
    deviation = both.std(axis=1)
    still = deviation <= STEADY * np.maximum(np.abs(both).max(axis=1), 1.0)
    shares = np.zeros((2, len(deviation), inputs))
    bounds = np.zeros((2, *shares.shape))
    if not still.all():
        moving = {name: values[..., ~still, :] for name, values in sample.items()}
        shares[:, ~still] = _indices(moving, points)
        bounds[:, :, ~still] = _bootstrap_ends(moving, points, seed)
    first_order, total = (Interval(shares[i], bounds[0, i], bounds[1, i]) for i in range(2))
    return Split(np.where(still, 0.0, deviation), first_order, total, sample["f_A"])


def _swapped(first: Floats, second: Floats, row: int) -> Floats:
    changed = first.copy()
    changed[row] = second[row]
    return changed


def _indices(sample: Sample, points: int) -> Floats:
    """First-order and total indices, shape (2, S, D)."""
    answers, inputs = sample["f_A"].shape[0], sample["f_AB"].shape[0]
    found = sobol_indices(func=sample, n=points)
    return np.stack([found.first_order, found.total_order]).reshape(2, answers, inputs)


def _bootstrap_ends(sample: Sample, points: int, seed: int) -> Floats:
    """Low and high ends of the percentile bootstrap over points, shape (2, 2, S, D).

    The library's own bootstrap of these indices takes no seed.
    """

    def statistic(chosen: Floats) -> Floats:
        picked = np.asarray(chosen, dtype=np.intp)
        return _indices({name: values[..., picked] for name, values in sample.items()}, points)

    found = bootstrap(
        (np.arange(points),),
        statistic,
        n_resamples=RESAMPLES,
        confidence_level=CONFIDENCE,
        method="percentile",
        vectorized=False,
        rng=seed,
    )
    return np.stack(found.confidence_interval)
