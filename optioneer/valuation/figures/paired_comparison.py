"""Several costs on the same futures against each other: a paired comparison."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats

SAME = 0.005
"""Smaller differences between two costs in one future are rounding [money]."""


@dataclass(frozen=True)
class Contest:
    """How each of M costs fares against the others, shape (M,) each.

    Parameters
    ----------
    chance_best
        Share of futures in which it is the least; equal ones share a future evenly.
    mean_regret
        What it costs beyond the least one of each future, on average [money].
    regret_share
        Share of futures in which another one costs less.
    """

    chance_best: Floats
    mean_regret: Floats
    regret_share: Floats


def contest(costs: Floats) -> Contest:
    """The contest of `costs`, shape (M, N) [money]."""
    regret = costs - costs.min(axis=0)
    least = regret <= SAME
    return Contest(
        chance_best=(least / least.sum(axis=0)).mean(axis=1),
        mean_regret=regret.mean(axis=1),
        regret_share=1.0 - least.mean(axis=1),
    )


def histogram(costs: Floats, steps: int) -> tuple[Floats, NDArray[np.int64]]:
    """Edges of equal steps over all of `costs`, and how many of each row fall between them.

    Parameters
    ----------
    costs
        Shape (M, N) [money].
    steps
        Number of steps S.

    Returns
    -------
    Edges of shape (S + 1,) and counts of shape (M, S); the last step holds its upper edge.
    """
    edges = np.histogram_bin_edges(costs, bins=steps)
    counts = [np.histogram(row, bins=edges)[0] for row in costs]
    return edges, np.array(counts, dtype=np.int64)
