"""Where the difference between two choices changes its sign: a root search from where it stands."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

Curve = Callable[[float], float]
"""What one choice costs beyond the other at a place x [money]."""

TIE = 0.005
"""Smaller differences are rounding, not a turn [money]."""


@dataclass(frozen=True)
class TurnSearch:
    """Where to look for a turn.

    Parameters
    ----------
    here
        Where things stand, within low..high.
    low, high
        Ends of the search.
    steps
        Equal steps between the ends at which the rough curve is looked at.
    close
        How near to the turn is near enough.
    """

    here: float
    low: float
    high: float
    steps: int
    close: float

    @property
    def below(self) -> list[float]:
        """Places from here down to the low end."""
        grid = np.linspace(self.low, self.high, self.steps + 1)
        return [self.here, *(float(x) for x in grid[::-1] if x < self.here)]

    @property
    def above(self) -> list[float]:
        """Places from here up to the high end."""
        grid = np.linspace(self.low, self.high, self.steps + 1)
        return [self.here, *(float(x) for x in grid if x > self.here)]


def nearest_turn(exact: Curve, rough: Curve, search: TurnSearch) -> float | None:
    """The place nearest to `search.here` at which the exact curve changes its sign.

    Parameters
    ----------
    exact
        The curve asked about.
    rough
        One much like it that is cheaper to look at; it may be the same.

    Returns
    -------
    float or None
        Within `search.close` of the turn; none when the curve keeps its sign.

    Notes
    -----
    The rough curve, shifted to agree with the exact one here, is followed outwards in steps; a
    turn and its return within one step stay unseen. The first change of sign on each side is
    narrowed down on the rough curve and then bracketed on the exact one (Brent's method).
    """
    start = exact(search.here)
    if abs(start) < TIE:
        return search.here
    sign, shift = np.sign(start), start - rough(search.here)

    def lasting(curve: Curve, x: float, moved: float = 0.0) -> float:
        """Above 0 as long as the choice that is cheaper here is so at x."""
        value = float(sign * (curve(x) + moved))
        return value + 2 * TIE if abs(value) < TIE else value

    turns = []
    for places in (search.below, search.above):
        guess = _first_root(lambda x: lasting(rough, x, shift), places, search.close)
        if guess is not None and rough is not exact:
            guess = _root_near(lambda x: lasting(exact, x), guess, places[-1], search)
        turns += [] if guess is None else [guess]
    return min(turns, key=lambda x: abs(x - search.here), default=None)


def _first_root(lasting: Curve, places: list[float], close: float) -> float | None:
    """The first root along `places`, none where the curve stays above 0."""
    for near, far in pairwise(places):
        if lasting(far) < 0.0:
            return _root(lasting, near, far, close / 4)
    return None


def _root_near(lasting: Curve, guess: float, end: float, search: TurnSearch) -> float | None:
    """The root nearest to a guess, between here and `end`; none if the end is still above 0."""
    outwards = 1.0 if end > search.here else -1.0
    step = search.close / 2
    near = far = guess
    while lasting(near) < 0.0:
        near, far, step = _clipped(near - outwards * step, search.here, end), near, 2 * step
    while lasting(far) > 0.0:
        if far == end:
            return None
        near, far, step = far, _clipped(far + outwards * step, search.here, end), 2 * step
    return _root(lasting, near, far, search.close / 4)


def _root(lasting: Curve, near: float, far: float, close: float) -> float:
    from scipy.optimize import brentq  # noqa: PLC0415 - slow, and most questions have no turns

    return float(brentq(lasting, near, far, xtol=close))


def _clipped(x: float, one: float, other: float) -> float:
    return min(max(x, min(one, other)), max(one, other))
