"""What it is worth to know all figures, and what each adds to the others.

Where many figures are unsure none may be able to turn a verdict alone and several together still
can: then knowing any one of them is worth nothing by itself, and asking would end too early.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.study.unknowns.effects import Effect
from optioneer.study.unknowns.worth_of_one import CENT
from optioneer.valuation.worlds.futures import quasi_random
from optioneer.valuation.worlds.scenario import triangular_quantile

DRAWS = 1024
"""Worlds in which every figure has one of its values."""

WORST = 10
"""The worst of them, a hundredth."""


@dataclass(frozen=True)
class Together:
    """What it is worth to know figures together.

    Parameters
    ----------
    everything
        Expected value of knowing all of them before the order [money].
    last
        By effect, what knowing it adds when all others are known [money].
    worst_hundredth
        Mean of what ordering without knowing any costs in the worst of all worlds [money].
    """

    everything: float
    last: tuple[float, ...]
    worst_hundredth: float = 0.0


def worth_together(
    effects: Sequence[Effect], beside: tuple[Floats, ...], here: Sequence[Floats]
) -> Together:
    """The worth of knowing all figures, and what each adds last, 0 or more [money].

    Parameters
    ----------
    beside
        What the site adds to each state of each cluster, shape (P,) each [money].
    here
        Mean cost of each state as the case is, shape (P,) a cluster [money].

    Notes
    -----
    Figures are independent, each as likely as a triangle over its range says, and what they do adds
    up. Only states are compared of which all effects are known. The worth of one figure among
    others depends on what else is known; first and last are its two ends.
    """
    everything, last, regret = 0.0, [0.0] * len(effects), np.zeros(DRAWS)
    shares = quasi_random(len(effects), DRAWS, seed=0)
    for cluster, mean in enumerate(here):
        own = [i for i, effect in enumerate(effects) if cluster in effect.means]
        if not own:
            continue
        known = np.logical_and.reduce([effects[i].known[cluster] for i in own])
        base = (mean + beside[cluster])[known]
        moved = {i: _moved(effects[i], cluster, (known, shares[i])) for i in own}
        total = base[:, None] + sum(moved.values())
        worth = _worth(total)
        everything += worth
        regret += _regret(total)
        for i in own:
            blind = total - moved[i] + moved[i].mean(axis=1, keepdims=True)
            last[i] += worth - _worth(blind)
    worst = float(np.sort(regret)[-WORST:].mean())
    return Together(_plain(everything), tuple(_plain(one) for one in last), _plain(worst))


def _plain(worth: float) -> float:
    return worth if worth > CENT else 0.0


def _worth(cost: Floats) -> float:
    """Least mean less mean of the least, from shape (P, J) [money]."""
    return float(cost.mean(axis=1).min() - cost.min(axis=0).mean()) if len(cost) else 0.0


def _regret(cost: Floats) -> Floats:
    """What the state with the least mean costs beyond the best one, from (P, J) to (J,) [money]."""
    if not len(cost):
        return np.zeros(cost.shape[1])
    return np.asarray(cost[int(cost.mean(axis=1).argmin())] - cost.min(axis=0))


def _moved(effect: Effect, cluster: int, world: tuple[Bools, Floats]) -> Floats:
    """What a figure adds to the cost of some states in each world, shape (known, J) [money]."""
    known, shares = world
    ranged = effect.ranged
    values = triangular_quantile(shares, np.array([ranged.low, ranged.here, ranged.high]))
    cost = effect.at(cluster, np.append(values, ranged.here))[known[effect.known[cluster]]]
    return np.asarray(cost[:, :-1] - cost[:, -1:])
