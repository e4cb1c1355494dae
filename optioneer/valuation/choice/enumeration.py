"""The cheapest choice within limits found by going through choices, as long as they are few."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats

MOST_STEPS = 20_000
"""States tried at most: about as long as a mixed-integer programme takes."""

SLACK = 1e-9
"""By so much a sum may pass its bound: rounding."""


class TooManyChoicesError(Exception):
    """There are more choices than are worth going through."""


@dataclass(frozen=True)
class Stop:
    """One cluster on the way, its states by rising cost.

    Parameters
    ----------
    costs
        Of each state [money].
    uses
        By state, what it adds to each limit's sum.
    states
        Their numbers.
    """

    costs: list[float]
    uses: list[tuple[float, ...]]
    states: list[int]


@dataclass
class Walk:
    """A search, depth first, that leaves out what cannot be cheaper or keep the limits.

    Parameters
    ----------
    stops
        The clusters in the order in which they are gone through.
    rooms
        Bounds of the limits.
    """

    stops: Sequence[Stop]
    rooms: tuple[float, ...]
    least: float = math.inf
    best: tuple[int, ...] | None = None
    steps: int = 0
    _picked: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._rest, self._low = [0.0], [(0.0,) * len(self.rooms)]
        for stop in reversed(self.stops):
            self._rest.append(self._rest[-1] + stop.costs[0])
            lowest = tuple(map(min, zip(*stop.uses, strict=True)))
            self._low.append(tuple(a + b for a, b in zip(self._low[-1], lowest, strict=True)))
        self._rest.reverse()
        self._low.reverse()

    def go(self, depth: int, cost: float, left: tuple[float, ...]) -> None:
        """Try every state of the cluster at a depth that can still lead to something better.

        Raises
        ------
        TooManyChoicesError
            After `MOST_STEPS` states.
        """
        if depth == len(self.stops):
            self.least, self.best = cost, tuple(self._picked)
            return
        stop, low = self.stops[depth], self._low[depth + 1]
        for state, own, uses in zip(stop.states, stop.costs, stop.uses, strict=True):
            if cost + own + self._rest[depth + 1] >= self.least:
                return
            self.steps += 1
            after = tuple(a - b for a, b in zip(left, uses, strict=True))
            if all(a >= b - SLACK for a, b in zip(after, low, strict=True)):
                self._picked.append(state)
                self.go(depth + 1, cost + own, after)
                self._picked.pop()
        if self.steps > MOST_STEPS:
            raise TooManyChoicesError


def cheapest_by_enumeration(
    costs: Sequence[Floats],
    uses: Sequence[Floats],
    states: Sequence[NDArray[np.intp]],
    rooms: tuple[float, ...],
) -> tuple[int, ...] | None:
    """The state of each cluster with the least sum of costs within all limits.

    Parameters
    ----------
    costs
        Of every state, shape (P,) a cluster [money].
    uses
        What every state adds to each limit's sum, shape (limits, P) a cluster.
    states
        Those that may be chosen, a cluster.
    rooms
        Bounds of the limits.

    Returns
    -------
    The states; none when no choice keeps the limits.

    Raises
    ------
    TooManyChoicesError
        If there are too many to go through.
    """
    order = sorted(range(len(states)), key=lambda i: len(states[i]))
    walk = Walk([_stop(costs[i], uses[i], states[i]) for i in order], rooms)
    walk.go(0, 0.0, rooms)
    if walk.best is None:
        return None
    picked = dict(zip(order, walk.best, strict=True))
    return tuple(picked[i] for i in range(len(states)))


def _stop(costs: Floats, uses: Floats, states: NDArray[np.intp]) -> Stop:
    by_cost = states[np.argsort(costs[states], kind="stable")]
    added = [tuple(column) for column in uses[:, by_cost].T.tolist()]
    return Stop(costs[by_cost].tolist(), added, by_cost.tolist())
