"""All roots of a function of one rate, by scanning for changes of sign."""

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from optioneer.arrays import Floats

RootFunction = Callable[[Floats], Floats]

_TOUCH = 1e-14
"""Heights below this share of the largest value are rounding: a root, or one that touches."""

_NEAR = 1e-4
"""Share of the way to the next point at which another root beside an exact one is looked for."""


def roots(function: RootFunction, grid: Floats) -> tuple[float, ...]:
    """Roots of `function` between neighbours of `grid`, rising.

    Parameters
    ----------
    function
        Continuous; takes an array of points and gives an array of values.
    grid
        Rising points, so close that the function turns at most once between a point and the
        next but one. Two roots between neighbours are found where it turns, however close, and
        so is one that only touches zero.
    """
    values = function(grid)
    values = np.where(np.abs(values) <= _TOUCH * np.abs(values).max(), 0.0, values)
    signs = np.sign(values)
    exact = (float(point) for point in grid[signs == 0])
    beside = (
        x for k in np.flatnonzero(signs == 0) for x in _beside(function, grid, values, int(k))
    )
    crossed = np.flatnonzero(signs[:-1] * signs[1:] < 0)
    between = (_between(function, float(grid[k]), float(grid[k + 1])) for k in crossed)
    turns = (root for k in _nearest_to_zero(values) for root in _at_turn(function, grid, values, k))
    return tuple(sorted((*exact, *beside, *between, *turns)))


def _beside(function: RootFunction, grid: Floats, values: Floats, k: int) -> Iterator[float]:
    """Roots between point `k`, which is one itself, and its neighbours."""
    for other in (k - 1, k + 1):
        if 0 <= other < grid.size:
            near = float(grid[k] + _NEAR * (grid[other] - grid[k]))
            if _at(function, near) * values[other] < 0:
                yield _between(function, *sorted((near, float(grid[other]))))


def _nearest_to_zero(values: Floats) -> list[int]:
    """Points where values of one sign come nearer to zero than at both neighbours."""
    middle, before, after = values[1:-1], values[:-2], values[2:]
    alike = (middle * before > 0) & (middle * after > 0)
    nearest = (np.abs(middle) <= np.abs(before)) & (np.abs(middle) <= np.abs(after))
    return [int(k) + 1 for k in np.flatnonzero(alike & nearest)]


def _at_turn(function: RootFunction, grid: Floats, values: Floats, k: int) -> Iterator[float]:
    """Roots around the point where the function turns, between the neighbours of point `k`."""
    from scipy.optimize import minimize_scalar  # noqa: PLC0415 - slow, and seldom needed

    low, high, sign = float(grid[k - 1]), float(grid[k + 1]), float(np.sign(values[k]))

    def height(point: float) -> float:
        return sign * _at(function, point)

    found = minimize_scalar(height, bounds=(low, high), method="bounded", options={"xatol": 1e-12})
    turn, least = float(found.x), float(found.fun)
    if least < -_TOUCH * float(np.abs(values).max()):
        yield from (_between(function, low, turn), _between(function, turn, high))
    elif least <= _TOUCH * float(np.abs(values).max()):
        yield turn


def _at(function: RootFunction, point: float) -> float:
    return float(function(np.array([point]))[0])


def _between(function: RootFunction, low: float, high: float) -> float:
    from scipy.optimize import brentq  # noqa: PLC0415 - slow, and seldom needed

    return float(brentq(partial(_at, function), low, high, xtol=1e-15, rtol=1e-14, maxiter=200))
