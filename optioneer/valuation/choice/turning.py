"""Where the difference between two choices changes its sign: a root search from where it stands."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from optioneer.arrays import Bools, Floats

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

Costs = Callable[[float], Floats]
"""What each of P packages costs at a place x, shape (P,), finite [money]."""

CostsOf = Callable[[float, Bools], Floats]
"""The same of some of them, shape (P,); of those that are not asked for it may be anything."""

TIE = 0.005
"""Smaller differences are rounding, not a turn [money]."""

GLANCES = 65
"""Places at which a curve between those that are valued is looked at."""

GUIDED = 8.0
"""How much nearer than the rough costs tell a turn the exact ones do."""

STEEPER = 2.0
"""How many times flatter the difference of two choices may be than it seems next to the turn."""

MOST_AIMED = 6
"""Looks after which a bracket is halved instead of aimed into."""


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
        The part of the range, 1 in so many, in which a turn and its return may stay unseen.
    close
        How near to the turn is near enough.
    """

    here: float
    low: float
    high: float
    steps: int
    close: float

    @property
    def least(self) -> float:
        """Width below which nothing is looked for between two places."""
        return (self.high - self.low) / self.steps

    def gridded(self, x: float, coarse: float) -> float:
        """The place next to x of a grid so many times as coarse as a turn is told."""
        cell = coarse * self.close
        place = self.here + round((x - self.here) / cell) * cell
        return min(max(place, self.low), self.high)


def nearest_turn(
    exact: CostsOf, rough: Costs | None, search: TurnSearch, one: Bools
) -> float | None:
    """The place nearest to `search.here` at which two choices change places.

    Parameters
    ----------
    exact
        What some of the packages cost.
    rough
        What all cost, much like it and cheaper to look at; none: there is nothing cheaper.
    one
        Packages of the one choice, the others being of the other, shape (P,).

    Returns
    -------
    float or None
        Within `search.close` of the turn; none when the choice that is cheaper stays so.

    Notes
    -----
    Costs are valued at few places, with a monotone cubic (Fritsch & Carlson) through those of each
    package between them; what is best is chosen anew at each place, so that kinks stay. The rough
    costs, shifted to agree with the exact ones here, are looked at outwards at the ends and in the
    middle, and halved again where the choices come nearer to a turn than the cubic was off. The
    first turn on each side is then settled on the exact costs of the packages that are the best
    there, or within two standard deviations of what the rough ones were off by here.
    """
    everything = np.ones(len(one), dtype=bool)
    here = exact(search.here, everything)
    start = float(here[one].min() - here[~one].min())
    if abs(start) < TIE:
        return search.here
    off = 0.0
    if rough is None:
        guide = _Curve(lambda x: exact(x, everything), one, np.sign(start), {search.here: here})
    else:
        shift = here - rough(search.here)
        guide = _Curve(lambda x: rough(x) + shift, one, np.sign(start), {search.here: here})
        off = 2.0 * float(shift.std())
    turns = list[float]()
    for end in (search.low, search.high):
        way, curve = (search.here, end), guide
        between = None if end == search.here else _first_turned(guide, way, search.least)
        if between is not None and rough is not None:
            near = guide.near_best(_guided(guide, between, search.close), off)
            between, curve = way, guide.settled(exact, near, search.here)
        turn = None if between is None else _settled(curve, between, search.close)
        turns += [] if turn is None else [turn]
    return min(turns, key=lambda x: abs(x - search.here), default=None)


@dataclass
class _Curve:
    """What the packages cost along a figure, as far as they are valued.

    Parameters
    ----------
    valued
        What they cost at a place.
    one, sign
        Packages of the one choice, shape (P,), and 1 where it is the dearer one here, else -1.
    known
        By place valued, the costs beyond those of the guide, shape (P,) [money].
    guide
        What they cost about, shape (P, J) at J places; none: nothing is known of it.
    """

    valued: Costs
    one: Bools
    sign: float
    known: dict[float, Floats]
    guide: Callable[[Floats], Floats] | None = None

    def settled(self, exact: CostsOf, among: Bools, here: float) -> "_Curve":
        """The exact costs of some packages, which are as this curve has them at `here`."""
        return _Curve(
            lambda x: exact(x, among)[among],
            self.one[among],
            self.sign,
            {here: np.zeros(int(among.sum()))},
            lambda places: self.costs(places)[among],
        )

    def near_best(self, x: float, off: float) -> Bools:
        """Packages that may be the best of their choice at a place, shape (P,)."""
        costs, near = self.costs(np.array([x]))[:, 0], np.zeros(len(self.one), dtype=bool)
        for choice in (self.one, ~self.one):
            near |= choice & (costs <= costs[choice].min() + off)
        return near

    def lasts(self, x: float) -> bool:
        """Whether what is cheaper here is so at a place, which is valued for it."""
        return self.gap_at(x) > -TIE

    def gap_at(self, x: float) -> float:
        """What the dearer choice here costs beyond the cheaper one at a place that is valued."""
        if x not in self.known:
            guided = 0.0 if self.guide is None else self.guide(np.array([x]))[:, 0]
            self.known[x] = self.valued(x) - guided
            vars(self).pop("_through", None)
        return float(self.gaps(np.array([x]))[0])

    def gaps(self, places: Floats) -> Floats:
        """The same as the curve has it, shape (J,) [money]."""
        costs = self.costs(places)
        gaps: Floats = costs[self.one].min(axis=0) - costs[~self.one].min(axis=0)
        return self.sign * gaps

    def costs(self, places: Floats) -> Floats:
        """What the packages cost at some places, shape (P, J) [money]."""
        if len(self.known) == 1:
            (own,) = self.known.values()
            costs = np.repeat(own[:, None], len(places), axis=1)
        else:
            ends = min(self.known), max(self.known)
            costs = np.asarray(self._through(np.clip(places, *ends))).T
        return costs if self.guide is None else costs + self.guide(places)

    @cached_property
    def _through(self) -> "PchipInterpolator":
        from scipy.interpolate import (  # noqa: PLC0415 - slow, and most questions have no turns
            PchipInterpolator,
        )

        places = sorted(self.known)
        return PchipInterpolator(places, [self.known[x] for x in places], axis=0)

    def root(self, near: float, far: float) -> float | None:
        """Where the curve turns first on the way; none where it does not."""
        for _ in range(2):
            places = np.linspace(near, far, GLANCES)
            turned = np.flatnonzero(self.gaps(places)[1:] < 0.0)
            if not len(turned):
                return None
            near, far = places[turned[0]], places[turned[0] + 1]
        return float(near + far) / 2.0


def _first_turned(
    curve: _Curve, way: tuple[float, float], least: float, off: float = np.inf
) -> tuple[float, float] | None:
    """The first part of a way at whose end the choices have changed places; none: there is none.

    `off` is by how much the curve may be off on the way [money].
    """
    near, far = way
    turned, narrow = not curve.lasts(far), abs(far - near) <= least
    if narrow or np.isfinite(off):
        if turned:
            return way
        if narrow or curve.gaps(np.linspace(near, far, GLANCES)).min() > off:
            return None
    middle = (near + far) / 2.0
    guessed = float(curve.gaps(np.array([middle]))[0])
    off = abs(curve.gap_at(middle) - guessed)
    return _first_turned(curve, (near, middle), least, off) or _first_turned(
        curve, (middle, far), least, off
    )


def _guided(curve: _Curve, way: tuple[float, float], close: float) -> float:
    """About where the curve turns first on a way at whose end it has turned."""
    root, before = curve.root(*way) or way[1], np.inf
    for _ in range(MOST_AIMED):
        if abs(root - before) <= GUIDED * close:
            break
        curve.gap_at(root)
        root, before = curve.root(*way) or way[1], root
    return root


def _settled(curve: _Curve, way: tuple[float, float], close: float) -> float | None:
    """The first turn on a way, within `close`; none where the choice lasts to its end.

    It is where the curve turns next to a place valued, so near that it may be much flatter there.
    """
    near, end = way
    turned, looked, looks = None, np.inf, 0
    while True:
        far = end if turned is None else turned
        root = curve.root(near, far)
        if turned is not None and abs(far - near) <= close:
            return (near + far) / 2.0 if root is None else root
        if root is not None and abs(root - looked) <= close / STEEPER:
            return root
        looked = _place(
            (near, far), root if looks < MOST_AIMED else None, halved=turned is not None
        )
        looks += 1
        if not curve.lasts(looked):
            turned = looked
        elif looked == end:
            return None
        else:
            near = looked


def _place(between: tuple[float, float], root: float | None, *, halved: bool) -> float:
    """Where to look next: at the root; without one in the middle if there is a turn, or the end."""
    if root is not None:
        return root
    return sum(between) / 2.0 if halved else between[1]
