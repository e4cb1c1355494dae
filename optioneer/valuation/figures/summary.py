"""Figures of a sample of futures: means with honest errors, percentiles, the worst tenth."""

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from optioneer.arrays import Floats
from optioneer.valuation.worlds.futures import replicate_edges

WORST_SHARE = 0.1
"""Share of futures that make up the worst tenth."""


@dataclass(frozen=True)
class CostSpread:
    """How a cost is spread over the futures [money]."""

    mean: float
    error: float
    p10: float
    p50: float
    p90: float
    worst_tenth: float


def spread(cost: Floats) -> CostSpread:
    """Mean, standard error, percentiles and mean of the worst tenth of `cost`, shape (N,)."""
    p10, p50, p90 = np.quantile(cost, [0.1, 0.5, 0.9])
    return CostSpread(
        mean=float(cost.mean()),
        error=standard_error(cost),
        p10=float(p10),
        p50=float(p50),
        p90=float(p90),
        worst_tenth=worst_mean(cost, WORST_SHARE),
    )


@dataclass(frozen=True)
class Gains:
    """How an outcome, of which more is better, is spread over the futures [money]."""

    mean: float
    p10: float
    p50: float
    p90: float
    worst_tenth: float


def gains(outcome: Floats) -> Gains:
    """Mean, percentiles and mean of the lowest tenth of `outcome`, shape (N,)."""
    found = spread(-outcome)
    return Gains(
        mean=-found.mean,
        p10=-found.p90,
        p50=-found.p50,
        p90=-found.p10,
        worst_tenth=-found.worst_tenth,
    )


def standard_error(values: Floats) -> float:
    """Standard error of the mean of quasi-random `values`, shape (N,).

    Notes
    -----
    Points within a scrambled set are not independent, the sets are: the error comes from the
    spread of the sets' means, each weighted by its size.

    References
    ----------
    Owen, *Monte Carlo theory, methods and examples* (2013), ch. 17, randomized quasi-Monte Carlo
    (formula standard, from memory).
    """
    edges = replicate_edges(len(values))
    sizes = np.diff(edges)
    means = np.add.reduceat(values, edges[:-1]) / sizes
    weights = sizes / len(values)
    sets = len(sizes)
    squares = (weights**2 * (means - values.mean()) ** 2).sum()
    return float(np.sqrt(squares * sets / (sets - 1)))


def interval_errors(count: int) -> float:
    """Standard errors to each side of a mean of `count` futures that make a 95 % interval.

    Notes
    -----
    An error told from the spread of n set means has n - 1 degrees of freedom: Student's quantile,
    2.13 for 16 sets where the normal one is 1.96.
    """
    return float(stdtrit(len(replicate_edges(count)) - 2, 0.975))


def worst_mean(cost: Floats, share: float) -> float:
    """Mean of the dearest `share` of futures: conditional value at risk of a cost.

    Notes
    -----
    The future on the edge counts with the part of it that belongs to the share.

    References
    ----------
    Rockafellar & Uryasev, Journal of Risk 2 (2000) 21-41, section 2.
    """
    dearest = np.sort(cost)[::-1]
    size = share * len(cost)
    whole = int(np.floor(size))
    total = dearest[:whole].sum()
    if whole < len(cost):
        total += (size - whole) * dearest[whole]
    return float(total / size)
