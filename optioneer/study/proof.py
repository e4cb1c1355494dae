"""How near the advice comes to the best that anyone could do who cannot see ahead."""

import numpy as np

from optioneer.study.answers import Proof
from optioneer.study.best import least_package
from optioneer.study.cores import by_size
from optioneer.study.valued import Package, Valued, futures_of
from optioneer.valuation.cluster import ClusterCost
from optioneer.valuation.dual import Bounds, cluster_bounds
from optioneer.valuation.summary import standard_error
from optioneer.valuation.timeline import Floats

PROVEN_ON = 256
"""Futures that the gap is proven on. What advice and bound have in common cancels in each, so that
few tell much: on the mill-turn demo the gap is known to 0.05 % of what the choice decides."""


def proof(found: Valued, chosen: Package, *, budget: float | None = None) -> Proof:
    """What nobody could get below with any package, and how far above it the advised one is.

    Parameters
    ----------
    found
        The valued case.
    chosen
        The advised package.
    budget
        Limit on the price of every other package, too [money].

    Notes
    -----
    Clusters are bounded apart from each other, on futures of their own. The least mean over the
    packages is on average a little below the true one, so that the gap errs on the safe side.
    """
    both = _bounds(found)
    lower = [_with_price(cost, each.lower) for cost, each in zip(found.costs, both, strict=True)]
    least = least_package(found, [part.mean(axis=1) for part in lower], budget=budget)
    gap = sum(
        _with_price(cost, each.reached)[here] - low[there]
        for cost, each, low, here, there in zip(
            found.costs, both, lower, chosen, least, strict=True
        )
    ) + np.zeros(PROVEN_ON)
    site = found.site.cost(chosen)
    cost = found.cost(chosen)
    decided = float((cost - found.constant).mean())
    wide = float(gap.mean()) + float(site.mean()) - found.site.now(least)
    wide += float(found.mix.cost(chosen).mean())
    return Proof(
        futures=PROVEN_ON,
        bound=float(cost.mean()) - wide,
        bound_se=float(np.hypot(standard_error(cost), standard_error(gap))),
        gap=wide,
        gap_se=standard_error(gap),
        decided=decided,
        gap_share=wide / abs(decided) if decided else None,
    )


def _bounds(found: Valued) -> tuple[Bounds, ...]:
    futures = futures_of(found.case, found.problem, PROVEN_ON, use=2)
    with by_size() as run:
        return tuple(
            cluster_bounds(
                found.world, cost.lattice, cost.policy, futures, run(cost.lattice.size * PROVEN_ON)
            )
            for cost in found.costs
        )


def _with_price(cost: ClusterCost, after: Floats) -> Floats:
    """Cost of each state with its order, shape (P, N) [money]."""
    return after + cost.lattice.price[:, None]
