"""A valued case with one cluster priced otherwise: the others, and all futures, stay."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.study.problem.clusters import cluster_lattice
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.cache.swept import cluster_cost
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.timing.cluster import ClusterCost
from optioneer.valuation.timing.policy import Mapper

Other = Callable[[Lattice], Lattice]
"""A lattice made otherwise."""


def repriced(
    found: Valued, case: Case, cluster: int, run: Mapper, *, other: Other | None = None
) -> Valued:
    """`found` with one cluster as it is in `case`, with a policy learned for it.

    Parameters
    ----------
    case
        The same but for prices, credits or retrofits of options of that cluster.
    cluster
        The cluster.
    run
        How blocks of futures are gone through.
    other
        What is changed of its lattice besides.

    Notes
    -----
    The draws hang on none of that, nor the price of an hour where it can be fitted later: it is
    found at what options list for later (`at_list_prices`). So this is what valuing `case`
    would give.
    """
    lattice = cluster_lattice(case, cluster, order_factor=found.problem.order_factor)
    lattice = lattice if other is None else other(lattice)
    cost = cluster_cost(found.world.at_these_prices(), lattice, run)
    return _with_cost(replace(found, case=case), cluster, cost)


def with_more_to_pay(found: Valued, cluster: int, beyond: Floats) -> Valued:
    """`found` with so much more to pay with the order for each state of a cluster.

    Parameters
    ----------
    cluster
        The cluster.
    beyond
        Shape (P,) [money of the order date].
    """
    cost, factor = found.costs[cluster], found.problem.order_factor
    more = factor * beyond
    paid = replace(
        cost,
        lattice=replace(cost.lattice, price=cost.lattice.price + more),
        learned=cost.learned + more[:, None],
        hindsight=cost.hindsight + more,
        rule=cost.rule + more,
        best_hindsight=np.full_like(cost.best_hindsight, np.nan),
    )
    other = _with_cost(found, cluster, paid)
    # What the site adds hangs on no price: all that was worked out of it is kept.
    vars(other)["site"] = found.site.paid(other.means)
    return other


def _with_cost(found: Valued, cluster: int, cost: ClusterCost) -> Valued:
    costs = tuple(cost if i == cluster else each for i, each in enumerate(found.costs))
    lattices = tuple(each.lattice for each in costs)
    return replace(found, problem=replace(found.problem, lattices=lattices), costs=costs)
