"""How far from the best the advised package of a searched case can be."""

import numpy as np
from scipy.stats import t as student

from optioneer.study.answers import SearchAnswer
from optioneer.study.large import BATCH
from optioneer.study.problem import clusters, states_of
from optioneer.study.valued import Package, Valued
from optioneer.valuation.timeline import Floats

SURE = 0.95
"""How sure the upper end of the gap is."""


def search_answer(found: Valued, chosen: Package) -> SearchAnswer | None:
    """How the searches went, and how far from the best `chosen` is; none without a search.

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
        packages=float(np.prod([float(states_of(cluster)) for cluster in slots])),
        looked_at=sum(one.looked_at for one in searches.values()),
        kept=sum(one.cost.lattice.size for one in searches.values()),
        stopped=stops[0] if stops else None,
        batches=len(gaps),
        batch_futures=BATCH,
        gap=mean,
        gap_se=error,
        gap_at_most=upper_end(gaps),
        npc_at_least=None if mean is None else float(found.cost(chosen).mean()) - mean,
    )


def gaps_of(found: Valued, chosen: Package) -> Floats:
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
    return float(gaps.mean() + student.ppf(SURE, len(gaps) - 1) * error)
