"""What is left for later fitted by rules: what happens in every future, and what that costs."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, reduce

import numpy as np

from optioneer.arrays import Floats
from optioneer.study.acting.left import LeftOver
from optioneer.study.advice.package import FreshLook
from optioneer.study.cash.financing import income_tax_rate
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.acting.board import Board
from optioneer.valuation.acting.search import NEVER, FitRule, rules_of
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.journey import Journey

MOST_PLAYED = 2**22
"""States x periods x futures that rules are looked for on, at most."""


@dataclass(frozen=True)
class Played:
    """One cluster gone by rules on fresh futures.

    Parameters
    ----------
    rules
        On which each group is fitted.
    shown
        The advised package.
    """

    left: LeftOver
    rules: tuple[FitRule, ...]
    shown: FreshLook

    @cached_property
    def journey(self) -> Journey:
        """What happens, the states numbered as in the whole cluster."""
        views = self.shown.elsewhere.world.views(self.left.part)
        return reduce(Journey.joined, map(self._journey, views))

    @cached_property
    def beyond(self) -> Floats:
        """What it costs beyond the policy behind the advice, hours at their price, (N,) [money]."""
        return self.journey.cost - self.shown.journeys[self.left.cluster].cost

    @property
    def never(self) -> "Played":
        """The same with nothing fitted ever."""
        return replace(self, rules=(NEVER,) * len(self.left.groups))

    def fits(self, place: int) -> float:
        """Share of futures in which a group is fitted."""
        fitted = self.journey.fitted_in < self.shown.elsewhere.problem.timeline.periods
        rows = [self._row(i) for i in self.left.groups[place]]
        return float(fitted[rows].any(axis=0).mean())

    def _journey(self, view: View) -> Journey:
        board, clock = board_of(self.left, view, self.shown.elsewhere), view.timeline
        first = [rule.first(board.clues(place)) for place, rule in enumerate(self.rules)]
        made = board.journey(np.array(first).reshape(len(first), -1)).among(self.left.states)
        shape = (len(self.left.whole.targets), view.futures.count)
        fitted, paid = np.full(shape, clock.periods, dtype=np.int32), np.zeros(shape)
        rows = [self._row(i) for i in range(len(self.left.part.targets))]
        fitted[rows], paid[rows] = made.fitted_in, made.paid
        return replace(made, fitted_in=fitted, paid=paid)

    def _row(self, target: int) -> int:
        """Of a target of the part, its number in the whole."""
        option = self.left.part.targets[target].option
        return next(i for i, one in enumerate(self.left.whole.targets) if one.option == option)


def played_cluster(left: LeftOver, shown: FreshLook) -> Played:
    """One cluster gone by the rules found on the futures that policies are learned on."""
    return Played(left, rules_of(learning_board(left, shown.elsewhere)), shown)


def learning_board(left: LeftOver, found: Valued) -> Board:
    """The package in the futures to learn from, or every so many of them."""
    world = found.world
    price, most = world.learned_price, MOST_PLAYED // (left.part.size * world.timeline.periods)
    step = -(-world.learned.count // max(most, 1))
    few = None if price is None else price[:, ::step]
    return board_of(left, world.view(left.part, world.learned.every(step), few), found)


def board_of(left: LeftOver, view: View, found: Valued) -> Board:
    """The package in a block of futures, margins seen before tax."""
    untaxed = 1.0 / (1.0 - income_tax_rate(found.case))
    return Board(view, left.start, left.groups, untaxed)


def beyond(shown: FreshLook, changed: Iterable[Played]) -> Floats:
    """What the package costs beyond what is advised where some clusters go by rules, (N,) [money].

    The site's later works and the real mix of work are counted in.
    """
    journeys = list(shown.journeys)
    for one in changed:
        journeys[one.left.cluster] = one.journey
    return _cost(shown, journeys) - _cost(shown, shown.journeys)


def _cost(shown: FreshLook, journeys: Sequence[Journey]) -> Floats:
    """What hangs on what happens after the order, shape (N,) [money]."""
    there = replace(shown.elsewhere)
    there.site.bills.knows(shown.package, journeys)
    cost = there.site.cost(shown.package) + there.mix.whole(journeys)
    return sum((one.cost for one in journeys), start=cost)
