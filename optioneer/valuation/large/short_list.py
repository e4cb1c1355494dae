"""Packages of a cluster too large for a lattice, valued one at a time on the same futures."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial, reduce
from typing import Literal

import numpy as np

from optioneer.arrays import Floats, Indices, Ints
from optioneer.valuation.hours import WaySets
from optioneer.valuation.large.doable import Doable, view_of
from optioneer.valuation.large.reachable import Live, Outlook, live
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.levels import Levels, Terms
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.cluster import ClusterCost, World, policy_of
from optioneer.valuation.timing.journey import Journey, JourneyInParts, Trail, journey, trails_of
from optioneer.valuation.timing.policy import Mapper, Policy
from optioneer.valuation.timing.sweep import hindsight_cost, policy_costs
from optioneer.valuation.worlds.lives import sale_worth
from optioneer.valuation.worlds.timeline import Timeline

Only = Literal["learned", "hindsight"] | None
"""The one valuation wanted; none: all three."""


@dataclass(frozen=True)
class Listed(Lattice):
    """Some packages of a cluster, in the place of the lattice of all.

    Parameters
    ----------
    packages
        Level of each slot, shape (P, slots).
    """

    packages: tuple[Levels, ...]
    terms: Terms

    @property
    def size(self) -> int:
        """Number of packages P."""
        return len(self.packages)

    @cached_property
    def levels(self) -> Indices:
        """Level of every slot in every package, shape (slots, P)."""
        table = np.array(self.packages, dtype=np.intp)
        return table.reshape(-1, len(self.names)).T

    def least_lost(self, state: int) -> Floats:
        """As of a lattice; what makes way for another slot's retrofit is left out of account."""
        package = self.packages[state]
        rows = range(len(self.streams))
        return np.array([self.terms.least_lost(package, row) for row in rows])


def short_list(terms: Terms, packages: Iterable[Levels] = ()) -> Listed:
    """The list of some packages of a cluster."""
    chosen, doable = tuple(dict.fromkeys(packages)), Doable(terms)
    count, owned = len(chosen), [terms.options_of(package) for package in chosen]
    price = [terms.order_factor * terms.order_price(package) for package in chosen]
    lost = [[1.0 - terms.share_earned(o, r) for r in range(len(terms.streams))] for o in owned]
    return Listed(
        shape=(count,),
        names=terms.names,
        fitted=terms.fitted,
        valid=np.ones(count, dtype=bool),
        price=np.array(price),
        upkeep=np.array([_total(terms.upkeep, package) for package in chosen]),
        resale=np.array([_total(terms.resale, package) for package in chosen]),
        streams=terms.streams,
        lost=np.array(lost).reshape(count, len(terms.streams)),
        targets=terms.targets,
        visits=terms.visits,
        turns=terms.turns,
        way_sets=_held_sets(doable, owned) if doable.takes_hours else None,
        resale_shares=terms.resale_shares,
        resale_prices=np.array(
            [
                [_total(terms.resale_priced(share), package) for package in chosen]
                for share in terms.resale_shares
            ]
        ).reshape(len(terms.resale_shares), count),
        packages=chosen,
        terms=terms,
    )


def _held_sets(doable: Doable, owned: Sequence[frozenset[int]]) -> WaySets:
    """All sets of ways, and which of them packages with some options hold."""
    held = [doable.numbers(each) for each in owned]
    none = np.array(held, dtype=np.intp).reshape(len(owned), len(doable.terms.streams))
    return replace(doable.sets, held=none)


@dataclass(frozen=True)
class Keeping:
    """How long what is fitted is kept, and what its sale brings.

    Parameters
    ----------
    stay
        Period of the sale, shape (n,); empty where it is the horizon.
    """

    terms: Terms
    timeline: Timeline
    stay: Ints

    @property
    def years(self) -> Floats | float:
        """Present value of one unit a year until the sale, by future where they differ."""
        whole = float(self.timeline.annuity[0])
        return whole - self.timeline.annuity[self.stay] if self.stay.size else whole

    def receipts(self, axis: int, level: int) -> Floats | float:
        """What a level brings at the sale, discounted, by future where they differ [money]."""
        value = self.terms.resale[axis][level]
        if not self.stay.size or value == 0.0:
            return value * float(self.timeline.at_start[-1])
        share = self.terms.resale_share[axis][level]
        worth = sale_worth(np.array([share]), self.timeline)[0, self.stay]
        return np.asarray(value / share * worth)


def _total(amounts: Sequence[Sequence[float]], package: Levels) -> float:
    return sum(amounts[axis][level] for axis, level in enumerate(package))


@dataclass(frozen=True)
class Worth:
    """What one package costs, order included [money].

    Parameters
    ----------
    learned, hindsight
        In each future, shape (N,).
    rule
        On average.
    """

    learned: Floats
    hindsight: Floats
    rule: float


@dataclass(frozen=True)
class Appraisal:
    """The packages of one cluster on the futures of one world; what they share is kept.

    Parameters
    ----------
    run
        How to go through blocks of futures.
    ruled
        Whether retrofits follow the rule alone, instead of what is learned.
    """

    terms: Terms
    world: World
    run: Mapper
    ruled: bool = False
    _parts: dict[tuple[object, ...], Worth] = field(default_factory=dict)

    @cached_property
    def view(self) -> View:
        """All futures as the cluster meets them."""
        return view_of(self.terms, self.world)

    @cached_property
    def outlook(self) -> Outlook:
        """What retrofits may bring at most, judged on the futures to learn from."""
        few = self.world.learned.block(0, min(self.world.learned.count, 1024))
        view = view_of(self.terms, replace(self.world, valued=few))
        periods = self.world.timeline.periods
        charges = view.charges(range(1, periods)).plain
        least = [each.reshape(periods - 1, -1).min(axis=0, initial=np.inf) for each in charges]
        lost = self.doable.lost(view) if self.doable.takes_hours else None
        charge = np.array(least).reshape(-1, few.count)
        return Outlook(total_margin(view), charge, self.doable, lost)

    @cached_property
    def doable(self) -> Doable:
        """What can be owned for work that takes hours."""
        return Doable(self.terms)

    @cached_property
    def _set_lost(self) -> Floats:
        return self.doable.lost(self.view)

    @cached_property
    def _margin(self) -> Floats:
        return total_margin(self.view)

    def live(self, package: Levels) -> Live:
        """What retrofits can change after a package."""
        return live(self.terms, package, self.outlook)

    def worth(self, package: Levels, *, only: Only = None) -> Worth:
        """What a package costs.

        Parameters
        ----------
        package
            Level of each slot.
        only
            The one valuation that is wanted; the other figures mean nothing then.
        """
        live_now = self.live(package)
        fixed = self._fixed_cost(package, live_now)
        zero = Worth(fixed, fixed, float(fixed.mean()))
        pairs = zip(live_now.parts, live_now.starts, strict=True)
        parts = [self._part(part, start, only) for part, start in pairs]
        return reduce(_added, parts, zero)

    def _fixed_cost(self, package: Levels, found: Live) -> Floats:
        """What no retrofit changes, the order included, shape (N,) [money]."""
        terms, timeline = self.terms, self.world.timeline
        once: Floats | float = terms.order_factor * terms.order_price(package)
        kept = Keeping(terms, timeline, self.world.valued.stay)
        for axis in found.fixed:
            level = package[axis]
            once += terms.upkeep[axis][level] * kept.years
            once -= kept.receipts(axis, level)
        return np.asarray(once + self._lost(package, found))

    def _lost(self, package: Levels, found: Live) -> Floats:
        """Margin that is lost whatever is fitted later, shape (N,) [money]."""
        owned, settled = self.terms.options_of(package), list(found.settled)
        if self.doable.takes_hours:
            return np.asarray(self._set_lost[self.doable.numbers(owned)[settled]].sum(axis=0))
        share = np.array([1.0 - self.terms.share_earned(owned, row) for row in settled])
        return np.asarray(share @ self._margin[settled])

    def _part(self, part: Lattice, start: int, only: Only) -> Worth:
        key = (only, start, *_key(part))
        if key not in self._parts:
            self._parts[key] = self._part_worth(part, start, only)
        return self._parts[key]

    def _part_worth(self, part: Lattice, start: int, only: Only) -> Worth:
        policy = Policy() if only == "hindsight" else self._policy(part)
        blocks = self.run(
            partial(_block, policy=policy, start=start, only=only), self.world.views(part)
        )
        learned, rule, hindsight = np.concatenate(list(blocks), axis=1)
        return Worth(learned, hindsight, float(rule.mean()))

    def _policy(self, part: Lattice) -> Policy:
        if self.ruled:
            return Policy()
        learn = partial(policy_of, self.world, part, self.run)
        return self.world.learned_once(_key(part), learn)

    def journey(self, package: Levels) -> JourneyInParts:
        """What the learned policy does after a package is ordered, by target of the cluster."""
        found = self.live(package)
        cost = self._fixed_cost(package, found) - self.terms.order_factor * self.terms.order_price(
            package
        )
        count, periods = len(cost), self.world.timeline.periods
        fitted_in = np.full((len(self.terms.targets), count), periods, dtype=np.int32)
        paid = np.zeros((len(self.terms.targets), count))
        still = np.zeros((periods + 1, count), dtype=np.int32)
        lost = self._lost(package, found)
        trails: list[Trail] = [(short_list(self.terms, [package]), still)]
        for part, start in zip(found.parts, found.starts, strict=True):
            lived = self._part_journey(part, start)
            trails += trails_of(part, lived)
            rows = [self.terms.target_of[target.option] for target in part.targets]
            fitted_in[rows], paid[rows] = lived.fitted_in, lived.paid
            cost, lost = cost + lived.cost, lost + lived.lost
        return JourneyInParts(cost, fitted_in, paid, lost, parts=tuple(trails))

    def _part_journey(self, part: Lattice, start: int) -> Journey:
        policy = self._policy(part)
        blocks: Iterable[Journey] = self.run(
            partial(journey, policy=policy, start=start), self.world.views(part)
        )
        return reduce(Journey.joined, blocks)

    def cost(self, packages: Iterable[Levels], across: Mapper = map) -> ClusterCost:
        """The three valuations of some packages, as a cluster that holds no others."""
        found = short_list(self.terms, packages)
        worths = list(across(self.worth, found.packages))
        foresight = np.array([worth.hindsight for worth in worths])
        return ClusterCost(
            lattice=found,
            policy=Policy(),
            learned=np.array([worth.learned for worth in worths]),
            hindsight=foresight.mean(axis=1),
            rule=np.array([worth.rule for worth in worths]),
            best_hindsight=foresight.min(axis=0),
            journeys=lambda state: self.journey(found.packages[state]),
        )


def _added(one: Worth, other: Worth) -> Worth:
    return Worth(
        one.learned + other.learned, one.hindsight + other.hindsight, one.rule + other.rule
    )


def _key(part: Lattice) -> tuple[object, ...]:
    """Tells apart any two parts of one cluster."""
    targets = tuple((t.axis, t.level, t.option, t.bounds.tobytes()) for t in part.targets)
    sets = part.way_sets
    ways = () if sets is None else (sets.row, sets.base, sets.slope, sets.hours, sets.held)
    arrays = (part.valid, part.upkeep, part.resale, part.streams, part.lost, *ways)
    return (part.shape, targets, *(array.tobytes() for array in (part.levels, *arrays)))


def _block(view: View, policy: Policy, start: int, only: Only) -> Floats:
    """Learned, rule and hindsight cost of one state in a block, shape (3, n) [money]."""
    found = np.zeros((3, view.futures.count))
    if only != "learned":
        found[2] = hindsight_cost(view)[start]
    if only != "hindsight":
        costs = policy_costs(view, [policy] if only else [policy, Policy()])
        found[0], found[1] = costs[0][start], costs[-1][start]
    return found


def margins(view: View) -> Floats:
    """Realised discounted margin of each stream in each period, shape (T, K, n) [money]."""
    periods = range(view.timeline.periods)
    flat = view.expected_margin(view.known_level(periods), periods)
    return flat.reshape(len(flat), len(periods), view.futures.count).transpose(1, 0, 2)


def total_margin(view: View) -> Floats:
    """Realised discounted margin of each stream over the horizon, shape (K, n) [money]."""
    return np.asarray(margins(view).sum(axis=0))


def with_journeys_in(world: World, cost: ClusterCost, *, ruled: bool = False) -> ClusterCost:
    """`cost` such that journeys are through the futures to value on of `world`; it costs as before.

    A list of packages follows what was learned for its parts, or the rule alone.
    """
    lattice = cost.lattice
    if not isinstance(lattice, Listed):
        return replace(cost, moves=None)
    appraisal = Appraisal(lattice.terms, world, map, ruled)
    return replace(cost, journeys=lambda state: appraisal.journey(lattice.packages[state]))
