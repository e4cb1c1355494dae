"""How much the worst futures weigh beyond the others.

References
----------
Rockafellar & Uryasev, Journal of Risk 2 (2000) 21-41, section 2: the mean of the worst share.
"""

from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.figures.summary import WORST_SHARE


@dataclass(frozen=True)
class Attitude:
    """How much the worst futures weigh beyond the others.

    Parameters
    ----------
    weight
        Of the mean of the worst share, in 0..1; the rest is the weight of the plain mean.
    share
        Which futures are the worst: the dearest share of them, in (0, 1].
    """

    weight: float
    share: float = WORST_SHARE

    def rating(self, cost: Floats) -> float:
        """``(1-w) mean + w CVaR`` of `cost`, shape (N,) [money]."""
        return float(self.row_ratings(cost[None])[0])

    def row_ratings(self, costs: Floats) -> Floats:
        """The same of each row of `costs`, shape (P, N), as shape (P,) [money]."""
        size = self.share * costs.shape[1]
        whole = min(int(np.floor(size)), costs.shape[1] - 1)
        dearest = -np.partition(-costs, whole, axis=1)[:, : whole + 1]
        tail = (dearest[:, :whole].sum(axis=1) + (size - whole) * dearest[:, whole]) / size
        return np.asarray((1.0 - self.weight) * costs.mean(axis=1) + self.weight * tail)

    def rated_futures(self, cost: Floats) -> Floats:
        """`cost` with what lies beyond the edge of the worst share magnified, shape (N,).

        Notes
        -----
        ``(1-w) x + w (v + max(x - v, 0) / share)`` with v the edge: its mean is `rating`, so that
        differences of two choices can be paired by future.
        """
        edge = _edge(cost, self.share)
        beyond = np.maximum(cost - edge, 0.0) / self.share
        return (1.0 - self.weight) * cost + self.weight * (edge + beyond)

    def weighing(self, cost: Floats) -> Floats:
        """Density over the futures, mean 1, that makes the mean of `cost` `rated`, shape (N,)."""
        size = self.share * len(cost)
        tail = np.zeros(len(cost))
        dearest = np.argsort(-cost, kind="stable")
        whole = min(int(np.floor(size)), len(cost))
        tail[dearest[:whole]] = 1.0
        if whole < len(cost):
            tail[dearest[whole]] = size - whole
        return (1.0 - self.weight) + self.weight * tail / self.share


def _edge(cost: Floats, share: float) -> float:
    """The least cost of the worst `share` of futures."""
    place = min(int(np.floor(share * len(cost))), len(cost) - 1)
    return float(np.sort(cost)[::-1][place])
