"""Whether a verdict stands, or which figures it hangs on."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.study.unknowns.answers import HangsOn
from optioneer.study.unknowns.effects import Effect
from optioneer.study.unknowns.worth_of_one import CENT, equally_likely_values

MOST_TOLD = 3
"""Figures that are told of one verdict."""

PLACES = 129
"""Values at which a turn is looked for along a range."""


@dataclass(frozen=True)
class OtherChoice:
    """One option that can be chosen otherwise.

    Parameters
    ----------
    cluster
        Where it sits.
    advised
        States of that cluster with the choice that is advised, shape (P,).
    otherwise
        What the other choice costs, as the advice says [money].
    """

    cluster: int
    advised: Bools
    otherwise: float

    def gap(self, cost: Floats, known: Bools) -> Floats:
        """What the other choice costs when the known states cost so, (known, J) to (J,) [money]."""
        advised = self.advised[known]
        return np.asarray(cost[~advised].min(axis=0) - cost[advised].min(axis=0))


def hangs_on(
    choice: OtherChoice, effects: Sequence[Effect], beside: tuple[Floats, ...]
) -> tuple[HangsOn, ...]:
    """The figures that turn a verdict within their ranges, what is most worth knowing first.

    Parameters
    ----------
    beside
        What the site adds to each state of each cluster, shape (P,) each [money].

    Notes
    -----
    What the other choice costs is what the advice says of it, plus what the figure adds to it; it
    turns where that is below 0. One figure moves at a time.
    """
    found = (_turned(choice, effect, beside[choice.cluster]) for effect in effects)
    told = sorted(
        (one for one in found if one is not None), key=lambda one: (-one.worth, one.what, one.name)
    )
    return tuple(told[:MOST_TOLD])


def _turned(choice: OtherChoice, effect: Effect, beside: Floats) -> HangsOn | None:
    if choice.cluster not in effect.means:
        return None
    ranged, known = effect.ranged, effect.known[choice.cluster]
    if not (known & choice.advised).any() or not (known & ~choice.advised).any():
        return None

    def gap(values: Floats) -> Floats:
        """What the other choice costs at some values [money]."""
        cost = effect.at(choice.cluster, np.append(values, ranged.here))
        told = choice.gap(cost + beside[known][:, None], known)
        return np.asarray(choice.otherwise + told[:-1] - told[-1])

    places = np.linspace(ranged.low, ranged.high, PLACES)
    heights = gap(places)
    away = heights < -CENT
    if not away.any():
        return None
    nearest = int(np.where(away, np.abs(places - ranged.here), np.inf).argmin())
    above = bool(places[nearest] > ranged.here)
    return HangsOn(
        **ranged.told,
        turns_at=_crossing(places, heights, nearest, -1 if above else 1),
        turns="above" if above else "below",
        worth=float(np.maximum(-gap(equally_likely_values(ranged)), 0.0).mean()),
    )


def _crossing(places: Floats, heights: Floats, turned: int, back: int) -> float:
    """Where a line between a place that is turned and the one before it crosses 0."""
    before = turned + back
    if not 0 <= before < len(places) or heights[before] <= 0.0:
        return float(places[turned])
    share = heights[before] / (heights[before] - heights[turned])
    return float(places[before] + share * (places[turned] - places[before]))
