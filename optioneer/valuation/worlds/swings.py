"""Futures in which work swings more or less than it did when they were drawn."""

from dataclasses import replace

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.worlds.futures import Futures
from optioneer.valuation.worlds.scenario import Growth
from optioneer.valuation.worlds.timeline import Timeline


def swinging(futures: Futures, before: Growth, after: Growth, timeline: Timeline) -> Futures:
    """The same draws with the swings of `after` instead of `before`.

    Parameters
    ----------
    futures
        Drawn under `before`; a stream that did not swing then does not swing now.
    before, after
        Scenarios with the same streams.
    """
    paths = zip(futures.log_swing, before.swing, after.swing, strict=True)
    return replace(futures, log_swing=tuple(_swung(*each, timeline) for each in paths))


def _swung(path: Floats | None, before: float, after: float, timeline: Timeline) -> Floats | None:
    """The logarithm of a mean-1 geometric Brownian motion at another volatility.

    Notes
    -----
    ``log W_t = s B_t - s^2 t / 2``, so that ``B_t`` is known from one volatility for another.
    """
    if path is None or before == after:
        return path
    half = 0.5 * timeline.dt * np.arange(1, len(path) + 1)[:, None]
    told: Floats = (path + before**2 * half) * (after / before) - after**2 * half
    return told
