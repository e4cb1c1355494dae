"""What packages cost at other values of each figure, told from the futures that are there."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.study.unknowns.ranges import Ranged
from optioneer.study.worth.figures import What
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.figures.reweighting import (
    chance_drawn,
    chance_weights,
    due,
    moved_weights,
    score,
)
from optioneer.valuation.worlds.scenario import triangular_quantile

FARTHEST = 3.0
"""Standard deviations that a figure is moved by at most on what the futures tell of it."""


@dataclass(frozen=True)
class Effect:
    """What the packages of some clusters cost along the range of one figure.

    Parameters
    ----------
    means
        By cluster, the mean cost of each state at `low`, here and at `high`, shape (P, 3) [money];
        meaningless where it is not known.
    known
        By cluster, the states of which it is known, shape (P,): they can be ordered.
    """

    ranged: Ranged
    means: Mapping[int, Floats]
    known: Mapping[int, Bools]

    def at(self, cluster: int, values: Floats) -> Floats:
        """Mean cost of the known states at some values of the figure, shape (known, J) [money].

        A parabola through the three that are known, a line where the case is at an end.
        """
        return np.asarray(self.means[cluster][self.known[cluster]] @ parabola(self.ranged, values))


def parabola(ranged: Ranged, values: Floats) -> Floats:
    """Weights of a function at `low`, here and `high` in the parabola through them, shape (3, J).

    Examples
    --------
    >>> from optioneer.study.worth.figures import Figure
    >>> parabola(Ranged(Figure("growth"), 1.0, 0.0, 2.0), np.array([1.5])).round(3).ravel().tolist()
    [-0.125, 0.75, 0.375]
    """
    low, here, high = ranged.low, ranged.here, ranged.high
    if not low < here < high:
        far = (values - low) / (high - low)
        none = np.zeros_like(far)
        return np.stack([none, 1.0 - far, far] if here <= low else [1.0 - far, far, none])
    return np.stack(
        [
            (values - here) * (values - high) / ((low - here) * (low - high)),
            (values - low) * (values - high) / ((here - low) * (here - high)),
            (values - low) * (values - here) / ((high - low) * (high - here)),
        ]
    )


def effects(found: Valued, figures: Sequence[Ranged]) -> tuple[Effect, ...]:
    """The effects of those figures that the futures tell something of, in their order.

    Notes
    -----
    Chances count in proportion; margins, arrivals, lives, the stay and drivers are drawn, so that a
    curve through the futures tells what another value would cost. Nothing is valued anew. Policies
    stay those learned for the case: near it that changes nothing to first order (envelope theorem).
    What is not drawn is left out; see also `paths`.
    """
    told = ((each, _weights(found, each)) for each in figures)
    weighed = [(each, weights) for each, weights in told if weights is not None]
    means: list[dict[int, Floats]] = [{} for _ in weighed]
    for cluster in range(len(found.costs)):
        own = [i for i, (each, _) in enumerate(weighed) if _touches(found, each, cluster)]
        if own:
            ends = np.concatenate([weighed[i][1] for i in own], axis=1)
            moved = _leaning(found, cluster, ends)
            for place, i in enumerate(own):
                low, high = moved[:, 2 * place : 2 * place + 2].T
                means[i][cluster] = np.column_stack([low, found.means[cluster], high])
    known = [cost.lattice.orderable for cost in found.costs]
    return tuple(
        Effect(each, own, {cluster: known[cluster] for cluster in own})
        for (each, _), own in zip(weighed, means, strict=True)
        if own
    )


def _leaning(found: Valued, cluster: int, weights: Floats) -> Floats:
    """Weighted mean costs of the states of a cluster, shape (P, columns) [money]."""
    cost = found.costs[cluster]
    able = cost.lattice.orderable
    told = np.full((len(able), weights.shape[1]), np.inf)
    told[able] = cost.learned[able] @ weights
    return told


def _touches(found: Valued, ranged: Ranged, cluster: int) -> bool:
    """Whether the packages of a cluster hang on a figure."""
    what, name = ranged.figure.what, ranged.figure.name
    lattice = found.costs[cluster].lattice
    if what == "kept-years":
        return True
    growth = found.world.growth
    if what == "nudge":
        driver = _place(found, ranged)
        return any(growth.loadings[k, driver] != 0.0 for k in lattice.streams)
    return growth.keys.index(name) in lattice.streams


def _place(found: Valued, ranged: Ranged) -> int:
    """Index of the driver or stream that a figure is of."""
    name, what = ranged.figure.name, ranged.figure.what
    if what == "nudge":
        return [driver.id for driver in found.case.growth.driver].index(name)
    return found.world.growth.keys.index(name)


def _weights(found: Valued, ranged: Ranged) -> Floats | None:
    """Weights at both ends of a range, shape (N, 2); none where the futures tell nothing of it."""
    weigh = _WEIGHERS.get(ranged.figure.what)
    if weigh is None or not found.world.valued.shocks.size:
        return None
    ends = [weigh(found, ranged, end) for end in (ranged.low, ranged.high)]
    return None if any(end is None for end in ends) else np.column_stack(cast("list[Floats]", ends))


def _chance(found: Valued, ranged: Ranged, at: float) -> Floats | None:
    world = found.world
    return chance_weights(world.growth, world.valued, _place(found, ranged), at)


def _margin(found: Valued, ranged: Ranged, at: float) -> Floats | None:
    futures, k = found.world.valued, _place(found, ranged)
    if ranged.here <= 0.0:
        return None
    factor, comes = at / ranged.here, due(found.world.growth, futures, k)
    level = futures.level[k]
    if comes.all() or _seen_widely(level, level * factor):
        return moved_weights(level, level * factor, futures.drivers, comes)
    # A margin that hardly differs: what it would be without is known where the work stays away.
    earned = np.where(comes, level, 0.0)
    everywhere = np.ones_like(comes)
    return moved_weights(earned, earned * factor, futures.drivers, everywhere, curved=False)


def _years(found: Valued, ranged: Ranged, at: float) -> Floats | None:
    growth, futures, k = found.world.growth, found.world.valued, _place(found, ranged)
    comes = due(growth, futures, k)
    early = _share_of_those_due(found, k)
    years = triangular_quantile(early, growth.years[k])
    moved = np.maximum(years + (at - ranged.here), 0.0)
    if not _seen_widely(years, moved):
        return None
    return moved_weights(years, moved, futures.drivers, comes)


def _share_of_those_due(found: Valued, k: int) -> Floats:
    """How early a stream comes among the ways it can, 0..1, shape (N,)."""
    growth, futures = found.world.growth, found.world.valued
    chance = np.maximum(chance_drawn(growth, futures, k), 1e-12)
    return np.clip(score(growth, futures, k) / chance, 0.0, 1.0)


def _life(found: Valued, ranged: Ranged, at: float) -> Floats | None:
    growth, futures, k = found.world.growth, found.world.valued, _place(found, ranged)
    bounds = growth.life_range(k)
    if bounds is None or not futures.lots.size:
        return None
    years = triangular_quantile(futures.lots[len(growth.keys) + k], bounds)
    comes = due(growth, futures, k)
    return moved_weights(years, np.full_like(years, at), futures.drivers, comes)


def _stay(found: Valued, _: Ranged, at: float) -> Floats | None:
    growth, futures = found.world.growth, found.world.valued
    if growth.stay is None or not futures.lots.size:
        return None
    years = triangular_quantile(futures.lots[-1], growth.stay)
    return moved_weights(years, np.full_like(years, at), futures.drivers, _all(years))


def _nudge(found: Valued, ranged: Ranged, at: float) -> Floats | None:
    drivers, one = found.world.valued.drivers, _place(found, ranged)
    others = np.delete(drivers, one, axis=0)
    value = drivers[one]
    return moved_weights(value, value + (at - ranged.here), others, _all(value))


def _seen_widely(value: Floats, moved: Floats) -> bool:
    """Whether the futures differ enough in a figure to tell what so large a move of it would do."""
    return bool(np.abs(moved - value).mean() <= FARTHEST * value.std())


def _all(value: Floats) -> Bools:
    return np.ones(len(value), dtype=bool)


OF_OPTIONS = ("multiplier", "later-price")

_WEIGHERS: dict[What, Callable[[Valued, Ranged, float], Floats | None]] = {
    "chance": _chance,
    "margin": _margin,
    "years": _years,
    "lasts-years": _life,
    "kept-years": _stay,
    "nudge": _nudge,
}
"""How the futures are made to lean, by kind of figure."""
