"""The best package where retrofits are fitted only if the account can pay them."""

from collections.abc import Iterator

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.pursed import Pursed
from optioneer.valuation.choice.frontier import merged

STARTS = 24
"""Points of the frontier from which the search starts at most."""

UNPAID = (0.25, 0.5, 0.75, 1.0)
"""Shares of what retrofits save that are taken for lost to find packages to start from."""

GAIN = 0.005
"""What is no better by more is no better [money]."""


def best_affordable(found: Pursed, free: States, left: float) -> States:
    """The package with the least mean NPC that a search finds.

    Parameters
    ----------
    found
        The case with its purse.
    free
        The best package where every retrofit is paid, within the same limit.
    left
        What may be spent on options beyond the bare machine [money].

    Notes
    -----
    From the best of `free`, packages of the frontier of prices and those that are best if a part of
    what retrofits save is lost, it goes on to any package that holds another state of one cluster,
    as long as one is better. No package can be better by more than what `free` costs less when
    every retrofit is paid.
    """
    if left in found.bests:
        return found.bests[left]
    best, least = free, found.mean(free)
    for start in _starts(found, left):
        if _at_least(found, start) < least - GAIN and found.mean(start) < least - GAIN:
            best, least = start, found.mean(start)
    tried, going = {free, best}, True
    while going:
        going = False
        for other in _near(found, (best, free), left, least):
            if other not in tried:
                tried.add(other)
                if found.mean(other) < least - GAIN:
                    best, least, going = other, found.mean(other), True
                    break
    found.bests[left] = best
    return best


def best_affordable_within(
    found: Pursed, around: tuple[States, States], left: float, within: tuple[int, Bools]
) -> States:
    """The better of two packages that keep a cluster to some of its states.

    Parameters
    ----------
    found
        The case with its purse.
    around
        The best package where every retrofit is paid that keeps to it, and the best affordable one.
    left
        As for `best_affordable`.
    within
        A cluster and the states that it may take.
    """
    (free, best), (cluster, allowed) = around, within
    means = np.where(allowed, found.means[cluster] + found.site.now_beside(best, cluster), np.inf)
    rest = _price(found, best) - found.prices[cluster][best[cluster]]
    dear = ~(found.prices[cluster] + rest <= left)
    means[dear] = np.inf
    if not np.isfinite(means.min()):
        return free
    changed = _with(best, cluster, int(means.argmin()))
    return min((free, changed), key=found.mean)


def _starts(found: Pursed, left: float) -> list[States]:
    """Packages to start from: of the frontier, and the best when ever fewer retrofits are paid."""
    points = merged(found.prices, found.means).thinned(STARTS)
    kept = points.states[points.price <= left]
    best = [_best_when(found, left, unpaid) for unpaid in UNPAID]
    return list(dict.fromkeys([*best, *(tuple(row) for row in kept[::-1].tolist())]))


def _best_when(found: Pursed, left: float, unpaid: float) -> States:
    """The best package if a share of what retrofits save is lost, the site's part left out."""
    pairs = zip(found.means, found.still, strict=True)
    means = [_between(mean, still, unpaid) for mean, still in pairs]
    points = merged(found.prices, means)
    last = int(np.searchsorted(points.price, left, side="right")) - 1
    return tuple(points.states[last].tolist())


def _between(mean: Floats, still: Floats, share: float) -> Floats:
    """So much of the way from one cost to another, shape (P,); infinite where either is."""
    apart = np.zeros(len(mean))
    able = np.isfinite(mean) & np.isfinite(still)
    np.subtract(still, mean, out=apart, where=able)
    return np.where(able, mean + share * apart, np.inf)


def _near(found: Pursed, around: tuple[States, ...], left: float, least: float) -> Iterator[States]:
    """Packages that differ in one cluster and may cost less than `least`, the likeliest first."""
    near: dict[States, float] = {}
    for package in dict.fromkeys(around):
        base, price = _at_least(found, package), _price(found, package)
        for cluster, cost in enumerate(found.costs):
            steps = _steps(found, package, cluster)
            dear = ~(
                price - found.prices[cluster][package[cluster]] + found.prices[cluster] <= left
            )
            steps[dear | ~cost.lattice.orderable] = np.inf
            for state in np.flatnonzero(base + steps < least - GAIN):
                near[_with(package, cluster, int(state))] = base + float(steps[state])
    yield from sorted(near, key=near.__getitem__)


def _steps(found: Pursed, package: States, cluster: int) -> Floats:
    """What each state of a cluster costs beyond that of a package, every retrofit paid, (P,)."""
    means = found.means[cluster] + found.site.now_beside(package, cluster)
    return np.asarray(means - means[package[cluster]])


def _at_least(found: Pursed, package: States) -> float:
    """Mean NPC of a package with every retrofit paid [money]."""
    return float(found.free.cost(package).mean())


def _price(found: Pursed, package: States) -> float:
    pairs = zip(found.prices, package, strict=True)
    return sum(float(prices[state]) for prices, state in pairs)


def _with(package: States, cluster: int, state: int) -> States:
    return (*package[:cluster], state, *package[cluster + 1 :])
