"""A case cut into pieces that add up, so that a changed figure is valued only where it counts."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from threading import Lock

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.study.cash.financing import used_factor
from optioneer.study.problem.arrays import Problem, growth_of, problem_of, timeline_of
from optioneer.study.problem.clusters import cluster_lattice
from optioneer.study.problem.futures import constant_cost, world_of
from optioneer.study.worth.figures import KINDS, Figure, with_figure
from optioneer.valuation.cache.swept import costs_while_learning, learned_means
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.view import Pricing
from optioneer.valuation.timing.cluster import World
from optioneer.valuation.worlds.futures import Futures
from optioneer.valuation.worlds.scenario import Growth
from optioneer.valuation.worlds.swings import swinging

FigureChanges = Mapping[Figure, float]
"""Figures that are not as in the case, and what they are."""

EVERYWHERE = frozenset({"kept-years", "discount-rate", "horizon"})
"""Figures that every piece hangs on."""

HOURS = frozenset({"hours", "attended", "beyond"})
"""Figures of hours: they change the price of an hour, and with it all work that takes some."""

WHEN = frozenset({"nudge", "chance", "years", "lasts-years", "kept-years"})
"""Figures that say when work comes and ends."""

EARNED = frozenset({"margin", "growth", "swing"})
"""Figures that say what it earns while it is there."""


MOST_CUT = 3
"""Cases that are kept cut into pieces: on few futures, on more, and on all of them."""

MOST_PRICED = 2
"""Cases whose futures are kept while their pieces are valued."""

MOST_SHOPS = 64
"""Cases of which it is kept what says the price of an hour: on few futures, then on more."""


@dataclass(frozen=True)
class Pieces:
    """The clusters of a case, and last of all what no choice changes.

    Parameters
    ----------
    case
        A checked and dated case, with as many futures as it is to be valued on.
    problem
        The case as arrays.
    first
        How many of the futures are looked at, to value on and to learn from; 0: all of them.
    """

    case: Case
    problem: Problem
    world: World
    first: int = 0
    _priced: dict[Case, World] = field(default_factory=dict, compare=False, repr=False)
    _pricing: Lock = field(default_factory=Lock, compare=False, repr=False)

    @property
    def count(self) -> int:
        """Number of pieces."""
        return len(self.problem.lattices) + 1

    def changed_pieces(self, figure: Figure) -> frozenset[int]:
        """Pieces that `figure` changes.

        A chance or a nudge also changes a little what the arrival of one stream says of another
        that drivers tie to it; pieces that it reaches only that way are left out.
        """
        if figure.what in EVERYWHERE:
            return frozenset(range(self.count))
        if figure.what in HOURS:
            taking = (
                i for i, each in enumerate(self.problem.lattices) if each.way_sets is not None
            )
            return frozenset({*taking, self.count - 1})
        if KINDS[figure.what] == "option":
            option = self.problem.options.index(figure.name)
            return frozenset(
                i
                for i, lattice in enumerate(self.problem.lattices)
                if lattice.holding(option).any()
            )
        return frozenset(self._home[k] for k in self._streams(figure))

    def _streams(self, figure: Figure) -> list[int]:
        return [
            k
            for k, stream in enumerate(self.case.growth.stream)
            if (
                stream.drivers.get(figure.name)
                if figure.what == "nudge"
                else stream.id == figure.name
            )
        ]

    @property
    def size(self) -> int:
        """States x futures of the largest piece."""
        futures = self.first or self.case.growth.futures
        return futures * max((lattice.size for lattice in self.problem.lattices), default=1)

    @cached_property
    def _home(self) -> dict[int, int]:
        """The piece of each stream."""
        home = dict.fromkeys(range(len(self.case.growth.stream)), self.count - 1)
        for i, lattice in enumerate(self.problem.lattices):
            home.update(dict.fromkeys(map(int, lattice.streams), i))
        return home

    @cached_property
    def _world_at_these_prices(self) -> World:
        """The futures at the prices of an hour that they have in the case."""
        return self.world.at_these_prices()

    def means(self, piece: int, changes: FigureChanges) -> Floats:
        """Mean cost of each state of a piece once `changes` are made, shape (P,) [money].

        Infinite where a state cannot be ordered; the last piece has a single state. Where clusters
        that share hours stay apart an hour keeps its price: near the case, what a figure changes
        is the same at the right price (envelope theorem).

        Raises
        ------
        RequestError
            If a figure cannot have such a value.
        """
        world, lattice, constant = self._changed(piece, changes)
        return constant.mean(axis=1) if lattice is None else learned_means(world, lattice, map)

    def costs(self, piece: int, changes: FigureChanges) -> Floats:
        """The same future by future, shape (P, N), of pieces of the first futures of a case.

        Policies are learned from these same futures: for differences only, see
        `cost_while_learning`.
        """
        world, lattice, constant = self._changed(piece, changes)
        return constant if lattice is None else costs_while_learning(world, lattice, map)

    def _changed(self, piece: int, changes: FigureChanges) -> tuple[World, Lattice | None, Floats]:
        """The futures, and the cluster or, of the last piece, its cost in each of them, (1, N)."""
        own = {
            figure: value
            for figure, value in changes.items()
            if piece in self.changed_pieces(figure)
        }
        case = self.case
        for figure, value in own.items():
            case = with_figure(case, figure, value)
        world = self._world(case, {figure.what for figure in own})
        if piece == self.count - 1:
            return world, None, constant_cost(_problem_of(case), world)[None]
        return world, cluster_lattice(case, piece, order_factor=used_factor(case)), np.empty(0)

    def _world(self, case: Case, kinds: set[str]) -> World:
        """The same draws under the figures of `case`; new ones where the horizon is another.

        Where figures of hours are others, the price of an hour is looked for again.
        """
        if kinds & {"horizon", *HOURS}:
            return self._priced_anew(case)
        growth, world = growth_of(case), self._world_at_these_prices
        if "discount-rate" in kinds:
            world = replace(world, timeline=timeline_of(case))
        if kinds & WHEN:
            world = world.under(growth)
        if kinds & EARNED:
            world = _earning(replace(world, growth=growth), self.world.growth)
        return world

    def _priced_anew(self, case: Case) -> World:
        """Futures of `case` at prices of their own, looked for once for all its pieces."""
        with self._pricing:
            if case not in self._priced:
                while len(self._priced) >= MOST_PRICED:
                    self._priced.pop(next(iter(self._priced)))
                self._priced[case] = _world_of(case, _problem_of(case), self.first)
            return self._priced[case]


def _earning(world: World, before: Growth) -> World:
    """The same draws, whose margins were drawn under `before`, with those of the world's growth."""
    likely, was = world.growth.margin[:, 1], before.margin[:, 1]
    factor = np.divide(likely, was, out=np.ones_like(likely), where=was > 0)

    def earning(futures: Futures) -> Futures:
        futures = swinging(futures, before, world.growth, world.timeline)
        return replace(futures, level=futures.level * factor[:, None])

    return world.drawn_otherwise(earning)


@dataclass(frozen=True)
class PieceErrand:
    """One piece of a checked and dated case, with some figures changed, for whoever values it."""

    case: Case
    piece: int
    changes: tuple[tuple[Figure, float], ...] = ()
    first: int = 0


def piece_means(errand: PieceErrand) -> Floats:
    """Mean cost of each state of the piece, as `Pieces.means`."""
    return pieces_of(errand.case).means(errand.piece, dict(errand.changes))


def piece_costs(errand: PieceErrand) -> Floats:
    """Cost of each state of the piece in the first futures, as `Pieces.costs`."""
    return pieces_of(errand.case, errand.first).costs(errand.piece, dict(errand.changes))


@lru_cache(MOST_CUT)
def pieces_of(case: Case, first: int = 0) -> Pieces:
    """A checked and dated `case` cut into pieces; the last ones are kept for the next question.

    Parameters
    ----------
    first
        As in `Pieces`.

    Raises
    ------
    TooLargeError
        If a cluster of related slots is too large to be swept.
    """
    problem = _problem_of(case)
    return Pieces(case, problem, _world_of(case, problem, first), first)


def _problem_of(case: Case) -> Problem:
    return problem_of(case, order_factor=used_factor(case))


@lru_cache(MOST_SHOPS)
def _shop_of(case: Case) -> Pricing | None:
    """What says the price of an hour, on however many of the futures; see `World`."""
    return world_of(case, _problem_of(case)).shop


def _world_of(case: Case, problem: Problem, first: int) -> World:
    """The futures of a case, no more to learn from than to value on: both are drawn again."""
    world = world_of(case, problem, shop=_shop_of(case))
    if first:
        return world.first(first)
    lessons = min(case.growth.futures, world.learned.count)
    return replace(world, learned=world.learned.block(0, lessons))
