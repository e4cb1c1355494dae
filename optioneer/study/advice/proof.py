"""How near the advice is to the best that anybody could do."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from scipy.special import stdtrit

from optioneer.arrays import Floats
from optioneer.study.advice.answers import OptionAnswer, PackageAnswer, Proof, SearchAnswer
from optioneer.study.problem.clusters import clusters
from optioneer.study.problem.copies import allowed, shared_out
from optioneer.study.problem.cores import by_size
from optioneer.study.problem.futures import futures_of
from optioneer.study.problem.related import package_count
from optioneer.study.search.large import BATCH
from optioneer.study.site_costs.later_bills import Dues, LaterBills, Least
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.best_package import least_package, price_limits
from optioneer.study.worth.pursed import Pursed
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.dual import Bounds, cluster_bounds
from optioneer.valuation.figures.summary import standard_error
from optioneer.valuation.timing.cluster import ClusterCost
from optioneer.valuation.timing.policy import Mapper

PROVEN_ON = 256
"""Futures that the gap is proven on. What advice and bound have in common cancels in each, so that
few tell much: on the mill-turn demo the gap is known to 0.05 % of what the choice decides."""


@dataclass(frozen=True)
class Proven:
    """A proof, and where its gap comes from.

    Parameters
    ----------
    by_cluster
        The part of the gap of each cluster, 0 or more [money]. The clusters are independent but for
        site and budget, so that a choice in one of them hangs on its own part only.
    """

    answer: Proof
    by_cluster: tuple[float, ...]


def proof(
    found: Valued, chosen: States, advised: PackageAnswer, *, budget: float | None = None
) -> Proven:
    """What nobody could get below with any package, and how far above it the advised one is.

    Parameters
    ----------
    chosen
        The advised package.
    advised
        What it costs.
    budget
        Limit on the price of every other package, too [money].

    Notes
    -----
    Clusters are bounded apart from each other, on futures of their own. The least mean over the
    packages is on average a little below the true one, so that the gap errs on the safe side.
    """
    bills = LaterBills(found.site, chosen)
    dues = [bills.dues(cluster) for cluster in range(len(found.costs))]
    both = _bounds(found, bills, dues)
    lower = [
        {
            name: _with_price(cost, low)
            for name, low in zip(own, (each.lower, *each.charged), strict=True)
        }
        for cost, each, own in zip(found.costs, both, dues, strict=True)
    ]
    means = [{name: low.mean(axis=1) for name, low in each.items()} for each in lower]
    least = bills.least(means, price_limits(found, budget))
    if least is None:
        # within the same limits: says what the cheapest package would be
        package = least_package(found, [each[()] for each in means], budget=budget)
        least = Least(package, tuple(() for _ in means), found.site.now(package))
    reached = [
        _with_price(cost, each.reached)[state]
        for cost, each, state in zip(found.costs, both, chosen, strict=True)
    ]
    there = list(zip(lower, least.package, strict=True))
    gaps = [own - low[()][state] for own, (low, state) in zip(reached, there, strict=True)]
    charged = [low[name][s] for (low, s), name in zip(there, least.dues, strict=True)]
    gap = sum(reached, start=np.zeros(PROVEN_ON)) - sum(charged)
    wide = float(gap.mean() + found.site.cost(chosen).mean()) - least.now
    wide += float(found.mix.cost(chosen).mean())
    if isinstance(found, Pursed):  # the bound is one for who can pay every retrofit, too
        wide += found.mean(chosen) - float(found.free.cost(chosen).mean())
    decided = float((found.cost(chosen) - found.constant).mean())
    answer = Proof(
        futures=PROVEN_ON,
        bound=advised.npc - wide,
        bound_se=float(np.hypot(advised.npc_se, standard_error(gap))),
        gap=wide,
        gap_se=standard_error(gap),
        decided=decided,
        gap_share=wide / abs(decided) if decided else None,
    )
    return Proven(answer, tuple(max(float(each.mean()), 0.0) for each in gaps))


def _bounds(found: Valued, bills: LaterBills, dues: Sequence[Sequence[Dues]]) -> tuple[Bounds, ...]:
    futures = futures_of(found.case, found.problem, PROVEN_ON, use=2)

    def of_cluster(cluster: int, run: Mapper) -> Bounds:
        cost = found.costs[cluster]
        plan = (cost.lattice, cost.policy)
        charges = [bills.charged(cluster, each) for each in dues[cluster][1:]]
        return cluster_bounds(found.world, plan, futures, run, charges=charges)

    sizes = [cost.lattice.size for cost in found.costs]
    if allowed():
        order = sorted(range(len(sizes)), key=lambda i: -sizes[i])
        both = dict(zip(order, shared_out(partial(of_cluster, run=map), order), strict=True))
        return tuple(both[cluster] for cluster in range(len(sizes)))
    with by_size() as run:
        return tuple(of_cluster(i, run(size * PROVEN_ON)) for i, size in enumerate(sizes))


def _with_price(cost: ClusterCost, after: Floats) -> Floats:
    """Cost of each state with its order, shape (P, N) [money]."""
    return after + cost.lattice.price[:, None]


SURE = 0.95
"""How sure the upper end of the gap is."""


def unproven(
    options: tuple[OptionAnswer, ...], gap_of: Callable[[str], float]
) -> tuple[OptionAnswer, ...]:
    """`options` with calls closer than the gap that is left for each, too, as close ones."""
    return tuple(
        one.model_copy(update={"close_call": True})
        if one.otherwise is not None and abs(one.otherwise) < gap_of(one.option)
        else one
        for one in options
    )


def search_answer(found: Valued, chosen: States, npc: float) -> SearchAnswer | None:
    """How the searches went, and how far from the best `chosen` is; none without a search.

    `npc` is what `chosen` is told to cost.

    Notes
    -----
    In each independent set of futures the package is valued under the learned policy, and a
    programme that knows the future is bounded from below. The mean of the differences is, on
    average, no less than what any other package and policy could save. Clusters that have a
    lattice add what separates the package from the best one with hindsight on the futures of the
    case.

    References
    ----------
    Mak, Morton & Wood, Operations Research Letters 24 (1999) 47-56 (formulas from memory).
    """
    if not found.searches:
        return None
    searches = found.searches
    gaps = gaps_of(found, chosen)
    slots = [clusters(found.case)[i] for i in searches]
    mean = float(gaps.mean()) if len(gaps) else None
    error = standard_error_of(gaps)
    stops = [one.stopped for one in searches.values() if one.stopped is not None]
    return SearchAnswer(
        slots=sum(map(len, slots)),
        packages=float(np.prod([float(package_count(cluster)) for cluster in slots])),
        looked_at=sum(one.looked_at for one in searches.values()),
        kept=sum(one.cost.lattice.size for one in searches.values()),
        stopped=stops[0] if stops else None,
        batches=len(gaps),
        batch_futures=BATCH,
        gap=mean,
        gap_se=error,
        gap_at_most=upper_end(gaps),
        npc_at_least=None if mean is None else npc - mean,
    )


def gaps_of(found: Valued, chosen: States) -> Floats:
    """What `chosen` costs beyond the bound, by set of futures, shape (sets,) [money]."""
    sets = min((len(one.bound.least) for one in found.searches.values()), default=0)
    if sets == 0:
        return np.empty(0)
    elsewhere = sum(
        float(cost.learned[state].mean() - cost.hindsight.min())
        for i, (cost, state) in enumerate(zip(found.costs, chosen, strict=True))
        if i not in found.searches
    )
    total = np.full(sets, elsewhere + float(found.site.cost(chosen).mean()))
    total += float(found.mix.cost(chosen).mean())
    for cluster, one in found.searches.items():
        levels = found.costs[cluster].lattice.levels[:, chosen[cluster]]
        total += one.bound.gaps(tuple(int(level) for level in levels))[:sets]
    return total


def standard_error_of(gaps: Floats) -> float | None:
    """Standard error of the mean of independent gaps; none of fewer than two."""
    if len(gaps) < 2:  # noqa: PLR2004 - one says nothing of its spread
        return None
    return float(gaps.std(ddof=1) / np.sqrt(len(gaps)))


def upper_end(gaps: Floats) -> float | None:
    """Upper end of the one-sided 95 % interval of the mean; none of fewer than two gaps."""
    error = standard_error_of(gaps)
    if error is None:
        return None
    return float(gaps.mean() + stdtrit(len(gaps) - 1, SURE) * error)
