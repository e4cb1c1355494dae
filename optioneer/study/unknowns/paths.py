"""What figures do to the packages near the advised one, told from what these live through."""

from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial

import numpy as np

from optioneer.arrays import Bools, Floats, Ints
from optioneer.study.problem.cores import by_size
from optioneer.study.site_costs.site_bills import States
from optioneer.study.unknowns.effects import OF_OPTIONS, Effect
from optioneer.study.unknowns.ranges import Ranged
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.cache.fittings import Fittings, fittings
from optioneer.valuation.lattice.lattice import Lattice, Target
from optioneer.valuation.worlds.futures import margin_in
from optioneer.valuation.worlds.scenario import triangular_quantile

Near = Mapping[int, tuple[int, ...]]
"""States by cluster."""


def near_states(found: Valued, chosen: States, beside: tuple[Floats, ...]) -> Near:
    """By cluster the advised state, and the best with the other choice of each of its options.

    Parameters
    ----------
    chosen
        The advised package.
    beside
        What the site adds to each state of each cluster, shape (P,) each [money].
    """
    return {
        cluster: _near(found, cluster, (chosen[cluster], mean + site))
        for cluster, (mean, site) in enumerate(zip(found.means, beside, strict=True))
    }


def _near(found: Valued, cluster: int, told: tuple[int, Floats]) -> tuple[int, ...]:
    state, cost = told
    lattice = found.costs[cluster].lattice
    near = {state}
    for option in {option for levels in lattice.fitted for option in levels if option >= 0}:
        holding = lattice.holding(option)
        others = np.where(holding != holding[state], cost, np.inf)
        if np.isfinite(others.min(initial=np.inf)):
            near.add(int(others.argmin()))
    return tuple(sorted(near))


def path_effects(found: Valued, figures: Sequence[Ranged], near: Near) -> tuple[Effect, ...]:
    """The effects of those figures that scale something which is paid or lost on the way.

    Parameters
    ----------
    figures
        With their ranges; the others are left out.
    near
        The states that they are told of.

    Notes
    -----
    With the same retrofits on the same days a cost moves in proportion to what is paid for them,
    and to the margin that is lost for want of a way; to first order that is all, for retrofits are
    made when that is best (envelope theorem).
    """
    slopes: list[tuple[Ranged, int, Slope]] = []
    for each in figures:
        home = _home(found, each)
        if home is not None:
            slopes.append((each, *home))
    lives = {
        cluster: _fittings(found, cluster, near[cluster])
        for cluster in sorted({cluster for _, cluster, _ in slopes})
    }
    return tuple(
        _effect(found, each, cluster, {s: slope(one) for s, one in lives[cluster].items()})
        for each, cluster, slope in slopes
    )


Slope = Callable[[Fittings], float]
"""What a unit more of a figure costs a package that lives so [money]."""


def _home(found: Valued, ranged: Ranged) -> tuple[int, Slope] | None:
    """The cluster that a figure counts in, and what it costs there; none of other figures."""
    what, name = ranged.figure.what, ranged.figure.name
    if what in OF_OPTIONS and ranged.here > 0.0:
        index = found.problem.options.index(name)
        cluster = found.cluster_of(index)
        return cluster, lambda fitted: _price_paid(found, index, fitted) / ranged.here
    if what == "fallback":
        return _home_of_work(found, found.world.growth.keys.index(name))
    return None


def _home_of_work(found: Valued, stream: int) -> tuple[int, Slope] | None:
    """The cluster that serves a stream without counting hours, and what its fallback saves."""
    for cluster, cost in enumerate(found.costs):
        lattice = cost.lattice
        if stream in lattice.streams and lattice.way_sets is None and lattice.lost.size:
            return cluster, partial(_kept_by_fallback, _margins(found, stream), lattice, stream)
    return None


def _fittings(found: Valued, cluster: int, states: Sequence[int]) -> Mapping[int, Fittings]:
    cost, count = found.costs[cluster], found.world.valued.count
    with by_size() as run:
        return fittings(found.world, cost, states, run(cost.lattice.size * count))


def _effect(found: Valued, ranged: Ranged, cluster: int, slopes: Mapping[int, float]) -> Effect:
    mean = found.means[cluster]
    slope = np.zeros(len(mean))
    slope[list(slopes)] = list(slopes.values())
    ends = [mean + slope * (end - ranged.here) for end in (ranged.low, ranged.high)]
    known: Bools = np.isin(np.arange(len(mean)), list(slopes)) & np.isfinite(mean)
    return Effect(ranged, {cluster: np.column_stack([ends[0], mean, ends[1]])}, {cluster: known})


def _margins(found: Valued, stream: int) -> Callable[[], list[Floats]]:
    """Margin of a stream by period once asked for, shape (N,) each [money, discounted]."""
    world, clock = found.world, found.world.timeline

    @cache
    def margins() -> list[Floats]:
        earned = partial(margin_in, world.growth, clock, world.valued, stream=stream)
        return [clock.during[t] * clock.dt * earned(period=t) for t in range(clock.periods)]

    return margins


def _kept_by_fallback(
    margins: Callable[[], list[Floats]], lattice: Lattice, stream: int, fitted: Fittings
) -> float:
    """What keeping all of a stream's margin while nothing owned does it costs, <= 0 [money]."""
    if not fitted.owned.size:
        return 0.0
    row = list(lattice.streams).index(stream)
    bare = lattice.lost[:, row] >= lattice.lost[:, row].max() - 1e-12
    lost = sum(m * bare[owned] for m, owned in zip(margins(), fitted.owned, strict=True))
    return -float(np.mean(lost))


def _price_paid(found: Valued, option: int, fitted: Fittings) -> float:
    """Mean price of the retrofits of one option, standstill and call-outs left out [money]."""
    targets = found.costs[found.cluster_of(option)].lattice.targets
    for row, target in enumerate(targets):
        if target.option == option:
            paid, when = fitted.paid[row], fitted.fitted_in[row]
            return float(np.minimum(_prices(found, target, when), paid).mean())
    return 0.0


def _prices(found: Valued, target: Target, when: Ints) -> Floats:
    """What a retrofit in some periods costs without its easing, shape (N,) [money]."""
    clock = found.problem.timeline
    share = found.world.valued.quantile[target.option]
    level = (clock.at_start * clock.retrofit_level)[when]
    drawn = level * target.price * triangular_quantile(share, target.bounds)
    return np.where(when < clock.periods, drawn, 0.0)
