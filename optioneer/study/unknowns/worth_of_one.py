"""What it is worth to know a figure before the order."""

import numpy as np

from optioneer.arrays import Floats
from optioneer.study.unknowns.effects import Effect
from optioneer.study.unknowns.ranges import Ranged
from optioneer.valuation.worlds.scenario import triangular_quantile

NODES = 65
"""Values of a figure that are looked at along its range."""

CENT = 0.01
"""Less is rounding [money]."""


def equally_likely_values(ranged: Ranged) -> Floats:
    """Values of a figure, each as likely as the next, shape (J,).

    Nobody knows it: a triangle over its range, likeliest as in the case.
    """
    shares = (np.arange(NODES) + 0.5) / NODES
    return triangular_quantile(shares, np.array([ranged.low, ranged.here, ranged.high]))


def worth_of_knowing(effect: Effect, beside: tuple[Floats, ...]) -> float:
    """Expected value of knowing one figure, over all packages, 0 or more [money].

    Parameters
    ----------
    beside
        What the site adds to each state of each cluster, shape (P,) each [money].

    Notes
    -----
    Expected value of partial perfect information: the least mean cost of a package on what is
    believed, less the mean of the least costs once the figure is known. Clusters add up. Weighted
    means over the futures of the case stand in for a nested simulation.

    References
    ----------
    Strong, Oakley & Brennan, Medical Decision Making 34 (2014) 311-326 (regression on the same
    sample; from memory).
    """
    values, total = equally_likely_values(effect.ranged), 0.0
    for cluster in effect.means:
        cost = effect.at(cluster, values) + beside[cluster][effect.known[cluster]][:, None]
        total += float(cost.mean(axis=1).min() - cost.min(axis=0).mean())
    return total if total > CENT else 0.0
