"""All roots of a function of one rate, by scanning for changes of sign."""

from collections.abc import Callable

import numpy as np

from optioneer.arrays import Floats

RootFunction = Callable[[Floats], Floats]


def roots(function: RootFunction, grid: Floats) -> tuple[float, ...]:
    """Roots of `function` between neighbours of `grid`, rising.

    Parameters
    ----------
    function
        Continuous; takes an array of points and gives an array of values.
    grid
        Rising points. Two roots between the same neighbours, or one that only touches zero,
        are not seen.
    """
    values = function(grid)
    signs = np.sign(values)
    exact = (float(point) for point in grid[signs == 0])
    crossed = np.flatnonzero(signs[:-1] * signs[1:] < 0)
    between = (_between(function, float(grid[k]), float(grid[k + 1])) for k in crossed)
    return tuple(sorted((*exact, *between)))


def _between(function: RootFunction, low: float, high: float) -> float:
    from scipy.optimize import brentq  # noqa: PLC0415 - slow, and seldom needed

    def at(point: float) -> float:
        return float(function(np.array([point]))[0])

    return float(brentq(at, low, high, xtol=1e-15, rtol=1e-14, maxiter=200))
