"""One package played by conditions: what is fitted when, and what that costs."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats, Indices, Ints
from optioneer.valuation.acting.condition import Clues
from optioneer.valuation.lattice.charges import Charges
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.outlays import flow_cost
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.journey import Journey, bill_of, made_retrofits
from optioneer.valuation.worlds.lives import Lives

Joint = tuple[int, ...]
"""Targets that are fitted together."""


@dataclass(frozen=True)
class Board:
    """A package of one cluster in a block of n futures, fitted group by group.

    Parameters
    ----------
    view
        The block, as the part of the lattice meets it that these retrofits lead to.
    start
        The state that is ordered.
    groups
        Targets of that part that are fitted together; of two that share a slot the later one holds.
    untaxed
        What a unit of margin is before income tax.
    """

    view: View
    start: int
    groups: tuple[Joint, ...]
    untaxed: float = 1.0

    @cached_property
    def table(self) -> Indices:
        """State by set of groups that have been fitted, shape (2 ** groups,)."""
        return state_table(self.lattice, self.start, self.groups)

    @property
    def lattice(self) -> Lattice:
        """The states."""
        return self.view.lattice

    @cached_property
    def flow(self) -> Floats:
        """Upkeep and lost margin by period, state and future, (T, P, n) [money]; 0 after a sale."""
        view, everything = self.view, range(self.view.timeline.periods)
        flow = flow_cost(view, everything, view.known_level(everything))
        by_period = flow.reshape(self.lattice.size, len(everything), -1)
        by_period *= view.stay > np.arange(len(everything))[:, None]
        return np.ascontiguousarray(by_period.transpose(1, 0, 2))

    @cached_property
    def charges(self) -> Charges:
        """Of all periods, one after the other."""
        return self.view.charges(range(self.view.timeline.periods))

    @cached_property
    def receipts(self) -> Floats:
        """What each state brings at a sale in each period, or at the horizon, (T + 1, P)."""
        clock = self.view.timeline
        if self.view.futures.stay.size:
            before = [self.view.receipts(period) for period in range(clock.periods)]
        else:
            before = [np.zeros(self.lattice.size)] * clock.periods
        return np.array([*before, clock.at_start[-1] * self.lattice.resale])

    def states(self, first: Ints) -> NDArray[np.intp]:
        """State after the moves of each period, shape (T, n).

        Parameters
        ----------
        first
            Period in which each group is fitted, T for never, shape (groups, n).
        """
        periods = np.arange(self.view.timeline.periods)[:, None]
        fitted = sum(
            ((since <= periods).astype(np.intp) << place for place, since in enumerate(first)),
            start=np.zeros((len(periods), self.view.futures.count), dtype=np.intp),
        )
        return np.asarray(self.table[fitted])

    def cost(self, first: Ints) -> Floats:
        """Cost after the order when the groups are fitted so, shape (n,) [money]."""
        after = self.states(first)
        owned = np.vstack([np.full_like(after[:1], self.start), after[:-1]])
        paid, _ = self._bills(owned, after)
        cost: Floats = self._flow(owned).sum(axis=0) + paid.sum(axis=0) - self._sale_receipts(after)
        return cost

    def journey(self, first: Ints) -> Journey:
        """What happens when the groups are fitted so, the states numbered as in the part."""
        after = self.states(first)
        owned = np.vstack([np.full_like(after[:1], self.start), after[:-1]])
        there = self.view.stay > np.arange(len(owned))[:, None]
        upkeep, cost = self.lattice.upkeep[owned] * there, self._flow(owned).sum(axis=0)
        lost = cost - (self.view.timeline.during * self.view.timeline.dt) @ upkeep
        paid, fitted_in = self._bills(owned, after)
        return Journey(
            cost=cost + paid.sum(axis=0) - self._sale_receipts(after),
            fitted_in=fitted_in,
            paid=paid,
            lost=lost,
            owned=owned.astype(np.int32),
            ended=after[-1].astype(np.int32),
        )

    def _flow(self, owned: Indices) -> Floats:
        periods, count = owned.shape
        rows = owned + np.arange(periods)[:, None] * self.lattice.size
        found: Floats = self.flow.ravel()[rows * count + np.arange(count)]
        return found

    def _sale_receipts(self, after: Indices) -> Floats:
        held = after[self.view.stay - 1, np.arange(after.shape[1])]
        return np.asarray(self.receipts[self.view.stay, held])

    def _bills(self, owned: Indices, after: Indices) -> tuple[Floats, NDArray[np.int32]]:
        """What each target costs, and the period in which it is fitted first, (targets, n) each."""
        periods, count = owned.shape
        when, future = np.nonzero(owned != after)
        before, then = owned[when, future], after[when, future]
        made = made_retrofits(self.lattice, before, then)
        bills = bill_of(self.lattice, self.charges.of(when * count + future), before, then, made)
        paid = np.zeros((len(made), count))
        fitted_in = np.full((len(made), count), periods, dtype=np.int32)
        for row, (bill, does) in enumerate(zip(bills, made, strict=True)):
            np.add.at(paid[row], future, bill)
            np.minimum.at(fitted_in[row], future[does], when[does])
        return paid, fitted_in

    def clues(self, place: int) -> Clues:
        """What there is to see for one of the groups."""
        view, clock = self.view, self.view.timeline
        everything, counted = range(clock.periods), self.margin_weights(place)
        margin = view.expected_margin(view.known_level(everything), everything)
        a_year = margin.reshape(len(counted), clock.periods, -1)
        a_year = a_year / (clock.during * clock.dt)[:, None] * counted[:, None, None]
        when = np.arange(clock.periods)[:, None]
        return Clues(
            margin=a_year.sum(axis=0),
            brings=(a_year * self._years_left()).sum(axis=0),
            price=self._quoted_price(place),
            open=(when > 0) & (when < view.stay),
            since=clock.years[:-1],
        )

    def margin_weights(self, place: int) -> Floats:
        """How much the margin of each stream counts among what there is to see, shape (K,).

        Of work of one kind its whole margin, before tax; of several kinds what each adds.
        """
        gains = self.gains(place)
        alone = np.count_nonzero(gains) == 1
        return self.untaxed * np.where(gains > 0.0, 1.0, 0.0) if alone else self.untaxed * gains

    def gains(self, place: int) -> Floats:
        """Most of the margin of each stream that a group adds, whatever else is fitted, (K,)."""
        own, lost = 1 << place, self.lattice.lost[self.table]
        without = np.array([n for n in range(len(self.table)) if not n & own])
        return np.asarray(np.maximum(lost[without] - lost[without | own], 0.0).max(axis=0))

    def _years_left(self) -> Floats:
        """How long each stream can be expected to run from the next period on, (K, T, n)."""
        view, clock = self.view, self.view.timeline
        came = np.minimum(view.arrival, clock.periods - 1).astype(np.intp)
        if view.lives is None:
            left = view.end[:, None] - np.arange(clock.periods)[:, None] - 1
            return np.asarray(np.maximum(left, 0) * clock.dt)
        years = years_ahead(view.lives)
        return np.stack([table[row].T for table, row in zip(years, came, strict=True)])

    def _quoted_price(self, place: int) -> Floats:
        """What a group lists for by its quoted multiples, in money of the day, shape (T, n)."""
        total = np.zeros(self.view.futures.count)
        then = self.lattice.levels[:, self.table[1 << place]]
        for i in self.groups[place]:
            target, (plain, eased) = self.lattice.targets[i], self.view.multipliers[i]
            easing = target.easing
            easier = eased is not None and easing is not None and then[easing.axis] == easing.level
            total += target.price * (eased if easier and eased is not None else plain)
        return np.asarray(self.view.timeline.price_level[:-1, None] * total)


def years_ahead(lives: Lives) -> Floats:
    """Time that streams can be expected to run from the next period on, shape (K, T, T) [years].

    By the period in which each came and the one in which it is seen to be here still.
    """
    kept = lives.chance_kept[:-1]
    alive = lives.since * kept
    onward = np.cumsum(alive[:, :, ::-1], axis=2)[:, :, ::-1] - alive
    there = np.divide(onward, alive, out=np.zeros_like(onward), where=alive > 0.0)
    return there * lives.timeline.dt


def state_table(lattice: Lattice, start: int, groups: Sequence[Joint]) -> Indices:
    """State by set of groups that have been fitted, those that they require too, (2 ** groups,).

    -1 where a set cannot be fitted.

    Parameters
    ----------
    start
        The state that is ordered.
    groups
        Targets that are fitted together; of two that share a slot the later one holds.
    """
    found = []
    for number in range(2 ** len(groups)):
        levels, fixed = lattice.levels[:, start].copy(), set[int]()
        for place, group in enumerate(groups):
            for target in (lattice.targets[i] for i in group if number >> place & 1):
                levels[target.axis] = target.level
                fixed.add(target.axis)
        found.append(nearest_valid(lattice, levels, fixed))
    return np.array(found)


def nearest_valid(lattice: Lattice, levels: Indices, fixed: set[int]) -> int:
    """The valid state with these levels, or the one that what it requires is fitted for as well.

    -1 where there is none.

    Parameters
    ----------
    levels
        Level of each slot.
    fixed
        Slots whose level is wanted; of the others the fewest are changed.
    """
    here = int(lattice.states_at(levels[:, None])[0])
    if here >= 0 and lattice.valid[here]:
        return here
    wanted = [axis for axis in range(len(levels)) if axis in fixed]
    able = lattice.valid & (lattice.levels[wanted] == levels[wanted][:, None]).all(axis=0)
    if not able.any():
        return -1
    changed = (lattice.levels != levels[:, None]).sum(axis=0)
    return int(np.where(able, changed, len(levels) + 1).argmin())
