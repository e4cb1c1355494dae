"""Finding prices of an hour at which clusters that stay apart are worth what they are together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats, Indices
from optioneer.valuation.cache.paths import states_owned
from optioneer.valuation.hours import WaySets
from optioneer.valuation.large.doable import Doable
from optioneer.valuation.large.programme import cheapest_order
from optioneer.valuation.large.short_list import Appraisal, Listed
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.levels import Levels, outline_of
from optioneer.valuation.lattice.view import Pricing
from optioneer.valuation.shared_hours.shop import Shop, idle_shop
from optioneer.valuation.timing.cluster import World
from optioneer.valuation.timing.journey import Trail
from optioneer.valuation.timing.policy import Policy
from optioneer.valuation.timing.sweep import policy_costs_and_moves

GUESSED_ON = 128
"""Futures that prices are looked for on."""

ROUNDS = 10
"""How often a package answers to a price and a price to the packages so far."""

BETTERED = 3
"""Rounds in which the package of a cluster without a lattice is bettered."""


@dataclass(frozen=True)
class Member:
    """A lattice among those that share the hours.

    Parameters
    ----------
    lattice
        One with streams that take hours.
    rows
        Which of its streams do.
    number
        Number, among the sets of the whole shop, of each of its sets; -1 of other streams.
    """

    lattice: Lattice
    rows: Indices
    number: Indices

    def along(self, trails: Sequence[Trail]) -> Indices:
        """Sets of the streams that take hours in each period and future, shape (K, T, n)."""
        (lattice, states), *parts = trails
        held = self._numbers(lattice, states[:-1])
        if isinstance(lattice, Listed):
            for part in parts:
                self._along_part(lattice, part, held)
        return held

    def _along_part(self, whole: Listed, trail: Trail, held: Indices) -> None:
        """Puts into `held` the sets of the streams that a part of a package's slots serves."""
        part, states = trail
        axes = [whole.names.index(name) for name in part.names]
        fixed = whole.terms.options_of(whole.packages[0])
        fixed -= {option for axis in axes for option in whole.terms.fitted[axis]}
        owned = [fixed.union(part.options(state)) for state in range(part.size)]
        doable = Doable(whole.terms)
        for stream in part.streams:
            row = int(np.flatnonzero(whole.streams == stream)[0])
            place = np.flatnonzero(self.rows == row)
            if len(place):
                own = np.array([doable.number(options, row) for options in owned])
                held[place[0]] = self.number[own][states[:-1]]

    def sets_held(self, states: NDArray[np.integer]) -> Indices:
        """Sets of the streams that take hours in some states, shape (K, ...)."""
        return self._numbers(self.lattice, states)

    def _numbers(self, lattice: Lattice, states: NDArray[np.integer]) -> Indices:
        sets = lattice.way_sets
        if sets is None:
            raise TypeError("Only lattices whose ways take hours share them.")
        return self.number[sets.held.T[self.rows]].take(states, axis=1)


@dataclass(frozen=True)
class Members:
    """All lattices that share the hours, one after the other.

    Parameters
    ----------
    each
        By index among the lattices of the case.
    shop
        The shop that they make, without a guess of what it owns.
    """

    each: dict[int, Member]
    shop: Shop


def members_of(lattices: Sequence[Lattice]) -> Members:
    """The lattices that share hours, and the shop that they make."""
    each, rows, tables, streams = {}, [], [], []
    count = offset = 0
    for index, lattice in enumerate(lattices):
        sets = lattice.way_sets
        if sets is None:
            continue
        own = np.unique(sets.row[sets.hours.any(axis=1)])
        kept = np.flatnonzero(np.isin(sets.row, own))
        number = np.full(len(sets.row), -1, dtype=np.intp)
        number[kept] = count + np.arange(len(kept))
        each[index] = Member(lattice, own, number)
        rows.append(offset + np.searchsorted(own, sets.row[kept]))
        tables.append((sets.base[kept], sets.slope[kept], sets.hours[kept]))
        streams.append(lattice.streams[own])
        count, offset = count + len(kept), offset + len(own)
    return Members(each, _shop(rows, tables, streams) if each else idle_shop())


def _shop(
    rows: Sequence[Indices],
    tables: Sequence[tuple[Floats, Floats, Floats]],
    streams: Sequence[Indices],
) -> Shop:
    most = max(slope.shape[1] for _, slope, _ in tables)
    wide = [[base, *(_padded(part, most) for part in steps)] for base, *steps in tables]
    base, slope, hours = (np.concatenate(parts) for parts in zip(*wide, strict=True))
    everywhere = np.concatenate(streams)
    none = np.empty((0, len(everywhere)), dtype=np.intp)
    sets = WaySets(np.concatenate(rows), base, slope, hours, none)
    return Shop(outline_of(everywhere), sets, np.empty((0, len(sets.row))))


def _padded(steps: Floats, most: int) -> Floats:
    """Steps of sets, 0 where there are fewer, shape (C, most)."""
    wide = np.zeros((len(steps), most))
    wide[:, : steps.shape[1]] = steps
    return wide


def with_hour_prices(world: World, members: Members) -> World:
    """`world` with prices of an hour at which what the clusters cost apart is a good bound.

    Notes
    -----
    Fictitious play (Brown 1951) between whoever chooses the package and whoever sets the price:
    the package that is best at the price so far, with the rule's retrofits, shows which ways are
    owned when; the price answers to the mean over all of them, as if each were owned in part. Of
    the prices met, that with the highest bound on these few futures is kept. In a cluster without
    a lattice the package of one round is bettered slot by slot in the next: the bound holds at any
    price. What answers to a price met before answers as it did then.

    References
    ----------
    Brown, G. W., "Iterative solution of games by fictitious play", in *Activity Analysis of
    Production and Allocation*, Wiley 1951, ch. XXIV (from memory).
    """
    step = max(world.valued.count // GUESSED_ON, 1)
    few = replace(world, valued=world.valued.every(step), shop=members.shop)
    best: float = -np.inf
    shops: Pricing = members.shop
    mean = np.zeros((world.timeline.periods, len(members.shop.sets.row)))
    packages: dict[int, Levels] = {}
    met: dict[tuple[object, ...], tuple[float, Floats]] = {}
    for number in range(1, ROUNDS + 1):
        price, answers = few.price, list[tuple[float, Floats]]()
        for index, each in members.each.items():
            better = number <= BETTERED and isinstance(each.lattice, Listed)
            asked = index, better, None if price is None else price.tobytes()
            if better or asked not in met:
                met[asked] = _answer(few, each, packages, better=better)
            answers.append(met[asked])
        bound = sum(cost for cost, _ in answers) - attended_worth(few).mean()
        if bound > best and few.shop is not None:
            best, shops = bound, few.shop
        mean = mean + (np.concatenate([own for _, own in answers], axis=1) - mean) / number
        few = replace(few, shop=replace(members.shop, shares=mean))
    return replace(world, shop=shops)


def attended_worth(world: World) -> Floats:
    """What the attended hours are worth at their price, shape (N,) [money]."""
    if world.price is None or world.attendance is None:
        return np.zeros(world.valued.count)
    years = world.timeline.during * world.timeline.dt
    return np.asarray(world.attendance.hours * (years @ world.price))


def _answer(
    world: World, member: Member, packages: dict[int, Levels], *, better: bool
) -> tuple[float, Floats]:
    """Least mean cost of a cluster under the rule, and the shares of its sets then, (T, sets).

    `packages` holds, of clusters without a lattice, the best package so far; `better` says whether
    to better it.
    """
    if isinstance(member.lattice, Listed):
        mean, trails = _bettered_under_rule(world, member.lattice, packages, better=better)
        held = member.along(trails)
    else:
        mean, owned = _best_under_rule(world, member.lattice)
        held = member.sets_held(owned)
    arrival = world.valued.arrival[member.lattice.streams[member.rows]]
    return mean, _shares(held, arrival, member.number[member.number >= 0])


def _best_under_rule(world: World, lattice: Lattice) -> tuple[float, NDArray[np.integer]]:
    """Mean cost of the best state of a cluster under the rule, and what is owned then, (T, n)."""
    views = world.views(lattice)
    ruled = [policy_costs_and_moves(view, [Policy()]) for view in views]
    costs = np.concatenate([cost for (cost,), _ in ruled], axis=1)
    means = costs.mean(axis=1) + lattice.price
    state = int(means.argmin())
    owned = [states_owned(moves, state, v.stay) for v, (_, moves) in zip(views, ruled, strict=True)]
    return float(means[state]), np.concatenate(owned, axis=1)


def _bettered_under_rule(
    world: World, lattice: Listed, packages: dict[int, Levels], *, better: bool
) -> tuple[float, tuple[Trail, ...]]:
    appraisal, key = Appraisal(lattice.terms, world, map, ruled=True), int(lattice.streams[0])
    package = packages.get(key) or cheapest_order(lattice.terms)
    packages[key] = package = _bettered(appraisal, package) if better else package
    cost = appraisal.worth(package, only="learned").learned.mean()
    return float(cost), appraisal.journey(package).parts


def _bettered(appraisal: Appraisal, package: Levels) -> Levels:
    """A package with the best level of one slot after the other."""

    @cache
    def cost(levels: Levels) -> float:
        return float(appraisal.worth(levels, only="learned").learned.mean())

    for axis, fitted in enumerate(appraisal.terms.fitted):
        near = [(*package[:axis], level, *package[axis + 1 :]) for level in range(len(fitted))]
        package = min((each for each in near if appraisal.terms.keeps(each)), key=cost)
    return package


def _shares(held: Indices, arrival: NDArray[np.int32], numbers: Indices) -> Floats:
    """Share of the futures with a stream in which each of its sets is owned, shape (T, sets).

    Parameters
    ----------
    held
        Set of each stream in each period and future, shape (K, T, n).
    arrival
        Period in which each stream comes, shape (K, n).
    numbers
        Of the sets.
    """
    here = arrival[:, None] <= np.arange(held.shape[1])[:, None]
    here |= ~here.any(axis=2, keepdims=True)  # else as in all of them
    share = here / here.sum(axis=2, keepdims=True)
    return np.stack([((held == number) * share).sum(axis=(0, 2)) for number in numbers], axis=1)
