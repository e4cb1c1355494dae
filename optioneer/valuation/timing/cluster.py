"""Every package of one cluster valued on the same futures."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property, partial, reduce
from itertools import pairwise

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.hours import Attendance, HoursSeen
from optioneer.valuation.lattice.kept_view import KeptView
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.view import Pricing, View
from optioneer.valuation.timing.journey import Journey, journey
from optioneer.valuation.timing.learning import costs_of_lessons, learned_policy
from optioneer.valuation.timing.policy import Mapper, Policy
from optioneer.valuation.timing.signals import Signals
from optioneer.valuation.timing.sweep import Moves, first_cost, hindsight_cost, policy_costs
from optioneer.valuation.worlds.futures import Futures
from optioneer.valuation.worlds.scenario import Growth
from optioneer.valuation.worlds.scores import Scores, scores
from optioneer.valuation.worlds.timeline import Timeline

BLOCK = 2**17
"""Packages x futures swept together: small enough for the caches, large enough that threads seldom
wait for each other."""

FEW = 256
"""Futures of which views keep what they show: they are met at many prices of an hour."""

LEARNED_ON = 2**23
"""Combinations of levels x futures that a policy is learned on, at most."""


@dataclass(frozen=True)
class World:
    """What every cluster of a case shares.

    Parameters
    ----------
    scores
        What arrivals say of drivers; none when no stream hangs on one.
    valued, learned
        Futures to value on and, drawn apart from them, to learn from.
    attendance
        Hours in which somebody is there; none where they are not limited.
    shop
        What says the price of an hour; none where one lattice holds all that takes hours.
    kept
        Prices of an hour in the futures to value on and to learn from that are held to, whatever
        else changes; none: as the shop says.
    """

    timeline: Timeline
    growth: Growth
    scores: Scores | None
    valued: Futures
    learned: Futures
    attendance: Attendance | None = None
    shop: Pricing | None = None
    kept: tuple[Floats, Floats] | None = None
    _policies: dict[object, tuple[object, Policy]] = field(
        default_factory=dict, compare=False, repr=False
    )
    _views: dict[tuple[int, ...], KeptView] = field(default_factory=dict, compare=False, repr=False)

    def under(self, growth: Growth) -> "World":
        """The same draws under other chances, arrival years or nudges."""
        return replace(
            self.drawn_otherwise(lambda futures: futures.arriving(growth, self.timeline)),
            growth=growth,
            scores=None if self.scores is None else scores(growth, self.timeline),
        )

    def drawn_otherwise(self, other: Callable[[Futures], Futures]) -> "World":
        """The same with other futures; where both are the same they stay the same."""
        valued = other(self.valued)
        same = self.learned is self.valued
        return replace(self, valued=valued, learned=valued if same else other(self.learned))

    def first(self, count: int) -> "World":
        """The first so many futures, to value on and, the same ones, to learn from."""
        few = self.valued.block(0, count)
        return replace(self, valued=few, learned=few)

    def valued_on(self, futures: Futures) -> "World":
        """The same with other futures to value on, of which no price of a lesson hangs."""
        other = replace(self, valued=futures)
        vars(other)["learned_price"] = self.learned_price
        return other

    @cached_property
    def price(self) -> Floats | None:
        """Price of an hour in the futures to value on, shape (T, N) [money]; see `HoursSeen`."""
        return self.price_in(self.valued) if self.kept is None else self.kept[0]

    @cached_property
    def learned_price(self) -> Floats | None:
        """The same in the futures to learn from."""
        if self.kept is not None:
            return self.kept[1]
        return self.price if self.learned is self.valued else self.price_in(self.learned)

    def learned_once(self, name: object, learn: Callable[[], Policy]) -> Policy:
        """What was learned under a name from these lessons, in whatever futures it is used."""
        read = (
            self.timeline,
            self.growth,
            self.scores,
            self.learned,
            self.attendance,
            self.shop,
            self.kept,
        )
        key = (name, *map(id, read))
        if key not in self._policies:
            self._policies[key] = read, learn()  # while `read` is held nothing takes its ids
        return self._policies[key][1]

    def at_these_prices(self) -> "World":
        """The same, and whatever is changed in it, at the prices that an hour has now."""
        price, learned = self.price, self.learned_price
        return self if price is None or learned is None else replace(self, kept=(price, learned))

    def price_in(self, futures: Futures) -> Floats | None:
        """Price of an hour in some futures, shape (T, n) [money]; none where none is needed."""
        if self.shop is None or self.attendance is None:
            return None
        view = View(self.shop.outline, self.timeline, self.growth, self.scores, futures)
        return self.shop.price(self._kept(view, futures), self.attendance)

    def view(self, lattice: Lattice, futures: Futures, price: Floats | None = None) -> View:
        """Some futures as a lattice meets them.

        Parameters
        ----------
        lattice, futures
            What meets what.
        price
            From ``price_in(futures)``; worked out unless told.
        """
        return View(
            lattice,
            self.timeline,
            self.growth,
            self.scores,
            futures,
            self._seen(lattice, futures, price),
        )

    def _seen(self, lattice: Lattice, futures: Futures, price: Floats | None) -> HoursSeen | None:
        if self.attendance is None or lattice.way_sets is None:
            return None
        return HoursSeen(self.attendance, self.price_in(futures) if price is None else price)

    def views(self, lattice: Lattice) -> list[View]:
        """The futures to value on, as blocks seen by `lattice`."""
        return self._blocks(lattice, (self.valued, self.price), self.valued.count)

    def lessons(self, lattice: Lattice) -> list[View]:
        """The futures to learn from (training paths), as blocks seen by `lattice`."""
        count = min(self.learned.count, max(LEARNED_ON // lattice.grid_size, 512))
        return self._blocks(lattice, (self.learned, self.learned_price), count)

    def _blocks(
        self, lattice: Lattice, drawn: tuple[Futures, Floats | None], count: int
    ) -> list[View]:
        (futures, price), size = drawn, max(BLOCK // lattice.size, 64)
        if count <= FEW and price is not None:
            return [self._kept(self.view(lattice, futures, price), futures)]
        return [
            self.view(
                lattice,
                futures.block(start, stop),
                None if price is None else price[:, start:stop],
            )
            for start, stop in pairwise([*range(0, count, size), count])
        ]

    def _kept(self, view: View, futures: Futures) -> View:
        """The same view; of few futures one that keeps what it shows at whatever price."""
        if futures.count > FEW:
            return view
        read = (view.lattice, futures, self.timeline, self.growth, self.scores)
        key = tuple(map(id, read))
        if key not in self._views:
            self._views[key] = KeptView.of(view)  # holds what is read: nothing takes its ids
        return self._views[key].at(None if view.hours is None else view.hours.price)


@dataclass(frozen=True)
class ClusterCost:
    """What the packages of a cluster cost, order included, in N futures.

    Parameters
    ----------
    lattice
        The packages.
    policy
        The learned policy that `learned` follows.
    learned
        Realised cost of each state, shape (P, N) [money]; infinite where it cannot be ordered.
    hindsight, rule
        Means over futures of the other two valuations, shape (P,) [money]; these bounds are empty
        where nobody asks for them.
    best_hindsight
        Least cost over the packages with the future known, shape (N,) [money].
    journeys
        What the learned policy does with a state, where the states are no lattice.
    moves
        What it does from every state in the futures valued on; none where that is too much to keep.
    """

    lattice: Lattice
    policy: Policy
    learned: Floats
    hindsight: Floats
    rule: Floats
    best_hindsight: Floats
    journeys: Callable[[int], Journey] | None = None
    moves: Moves | None = None


def cost_of_policy(world: World, lattice: Lattice, policy: Policy, run: Mapper) -> Floats:
    """Realised cost of every package of `lattice` under a policy, order included, shape (P, N)."""
    blocks = run(partial(_learned_costs, policy), world.views(lattice))
    return np.concatenate(list(blocks), axis=1) + lattice.price[:, None]


def _learned_costs(policy: Policy, view: View) -> Floats:
    if not view.lattice.targets:
        return hindsight_cost(view)
    return policy_costs(view, [policy])[0]


def cost_while_learning(world: World, lattice: Lattice, run: Mapper) -> Floats:
    """Realised cost of every package in the lessons of its policy, order included, (P, N) [money].

    For differences only, see `costs_of_lessons`.
    """
    if not _learns(lattice):
        return cost_of_policy(replace(world, valued=world.learned), lattice, Policy(), run)
    lessons = world.lessons(lattice)
    to_go = costs_of_lessons(Signals(lattice, world.growth, world.timeline), lessons, run)
    costs = [own + first_cost(view) for own, view in zip(to_go, lessons, strict=True)]
    return np.concatenate(costs, axis=1) + lattice.price[:, None]


def _learns(lattice: Lattice) -> bool:
    return bool(lattice.targets) and bool(len(lattice.streams))


def policy_of(world: World, lattice: Lattice, run: Mapper) -> Policy:
    """The learned policy; nothing to learn where nothing can be retrofitted or no work turns up."""
    if not _learns(lattice):
        return Policy()
    signals = Signals(lattice, world.growth, world.timeline)
    lessons = world.lessons(lattice)
    return learned_policy(signals, lessons, block_map(run, lessons))


def block_map(run: Mapper, views: list[View]) -> Mapper:
    """How to go through blocks: one alone need not be handed to another thread."""
    return run if len(views) > 1 else map


def journey_of_state(world: World, cost: ClusterCost, state: int, run: Mapper) -> Journey:
    """What the learned policy does with `state` in every future."""
    if cost.journeys is not None:
        return cost.journeys(state)
    return journey_under(world, (cost.lattice, cost.policy), state, run)


def journey_under(world: World, plan: tuple[Lattice, Policy], state: int, run: Mapper) -> Journey:
    """What a policy does with a state of its lattice in every future."""
    lattice, policy = plan
    part, states = lattice.reachable(state)
    start = int(np.flatnonzero(states == state)[0])
    parts: Iterable[Journey] = run(
        partial(journey, policy=policy.of(states), start=start), world.views(part)
    )
    return reduce(Journey.joined, parts).among(states)
