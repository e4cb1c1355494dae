"""Conditions looked for by what they cost when they are played, the simplest that does as well."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain, product

import numpy as np

from optioneer.arrays import Floats, Ints
from optioneer.valuation.acting.board import Board
from optioneer.valuation.acting.condition import Clues, Condition
from optioneer.valuation.figures.summary import standard_error

PLACES = 10
"""Values of a threshold that are tried at first."""

FINER = 8
"""Values that are tried then, between the neighbours of the best."""

YEARS = (0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
"""Times that work may have to run on [years]."""

AFTER = (0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0)
"""Times after first chips at which something may be fitted whatever has come [years]."""

DIGITS = 2
"""Significant digits of a threshold: nobody remembers more."""

ROUNDS = 2
"""How often every group is looked at, the others as found so far."""


@dataclass(frozen=True)
class FitRule:
    """The condition on which a group is fitted; none: it never is."""

    condition: Condition | None

    def first(self, clues: Clues) -> Ints:
        """Period in which the group is fitted, T for never, shape (n,)."""
        if self.condition is None:
            return np.full(clues.open.shape[1], len(clues.open), dtype=np.int32)
        return self.condition.first(clues)

    @property
    def plainness(self) -> int:
        """Low where few words say it; never to fit it has to be the best."""
        if self.condition is None:
            return 9
        one = self.condition
        odd = (one.brings > 0.0) + bool(np.isfinite(one.price)) + bool(np.isfinite(one.after))
        return 1 + (one.years > 0.0) + 2 * odd


NEVER = FitRule(None)


def rules_of(board: Board) -> tuple[FitRule, ...]:
    """By group, the condition on which to fit it.

    Parameters
    ----------
    board
        One package in the futures to learn from.

    Notes
    -----
    Joint by group, the others held, the thresholds that cost least when they are played; of those
    within a paired standard error of the least the plainest.

    References
    ----------
    Breiman, Friedman, Olshen & Stone, *Classification and Regression Trees*, 1984, section 3.4.3
    (the one-standard-error rule; from memory).
    """
    trial = Trial(board)
    rules = [trial.pays_back(place) for place in range(trial.groups)]
    for _ in range(ROUNDS):
        before = list(rules)
        for place in range(trial.groups):
            rules[place] = trial.best(rules, place)
        if rules == before:
            break
    return tuple(rules)


@dataclass(frozen=True)
class Trial:
    """Conditions tried on a board.

    Parameters
    ----------
    board
        The futures to learn from.
    """

    board: Board

    @property
    def groups(self) -> int:
        """How many groups there are."""
        return len(self.board.groups)

    @cached_property
    def clues(self) -> tuple[Clues, ...]:
        """By group."""
        return tuple(self.board.clues(place) for place in range(self.groups))

    def first(self, rules: Sequence[FitRule]) -> Ints:
        """Periods in which the groups are fitted by their rules, shape (groups, N)."""
        return np.array([rule.first(c) for rule, c in zip(rules, self.clues, strict=True)])

    def pays_back(self, place: int) -> FitRule:
        """Fit what likely brings its price: where a search begins."""
        return FitRule(Condition(brings=memorable(float(self.clues[place].price[0].mean()))))

    def best(self, rules: Sequence[FitRule], place: int) -> FitRule:
        """The rule of one group, the others held."""
        seen = _Seen(self, self.first(rules), place)
        for rule in [NEVER, rules[place], *self._starts(place)]:
            seen.play(rule)
        for _ in range(2):
            near = (
                self._near(seen.best),
                self._with_price_limit(seen.best, place),
                self._with_time(seen.best),
            )
            for rule in chain.from_iterable(near):
                seen.play(rule)
        return seen.plainest

    def _starts(self, place: int) -> Iterator[FitRule]:
        shares = (np.arange(PLACES) + 0.5) / PLACES
        margins = [0.0, *self._spread(place, "margin", shares)]
        longest = self.board.view.timeline.years[-1]
        for margin, years in product(margins, [each for each in YEARS if each < longest]):
            yield FitRule(Condition(margin=margin, years=years))
        for brings in self._spread(place, "brings", shares):
            yield FitRule(Condition(brings=brings))

    def _spread(self, place: int, clue: str, shares: Floats) -> list[float]:
        """Values of a clue that are passed in some shares of the moments with work, rounded."""
        clues = self.clues[place]
        told = getattr(clues, clue)[clues.here]
        if not len(told):
            return []
        return sorted({memorable(float(each)) for each in np.quantile(told, shares)} - {0.0})

    @staticmethod
    def _near(rule: FitRule) -> Iterator[FitRule]:
        """The same with its money a little higher or lower."""
        one = rule.condition
        if one is None:
            return
        for factor in np.geomspace(0.7, 1.4, FINER):
            if one.brings > 0.0:
                yield FitRule(replace(one, brings=memorable(one.brings * float(factor))))
            if one.margin > 0.0:
                yield FitRule(replace(one, margin=memorable(one.margin * float(factor))))

    def _with_price_limit(self, rule: FitRule, place: int) -> Iterator[FitRule]:
        """The same with a limit on what it is quoted at, where that is not known beforehand."""
        one = rule.condition
        prices = self.clues[place].price[0]
        if one is None or np.ptp(prices) <= 0.01 * prices.mean():
            return
        for most in self._spread(place, "price", (np.arange(FINER) + 1.0) / (FINER + 1)):
            yield FitRule(replace(one, price=most))

    def _with_time(self, rule: FitRule) -> Iterator[FitRule]:
        """The same, or at some time whatever is here."""
        longest = self.board.view.timeline.years[-1]
        for after in (each for each in AFTER if each < longest and rule.condition is not None):
            yield FitRule(replace(rule.condition or Condition(), after=after))


class _Seen:
    """Rules of one group that have been played, and what they cost."""

    def __init__(self, trial: Trial, first: Ints, place: int) -> None:
        self.trial, self.first, self.place = trial, first, place
        self.costs: dict[FitRule, Floats] = {}

    def play(self, rule: FitRule) -> None:
        """Play one more."""
        if rule not in self.costs:
            self.first[self.place] = rule.first(self.trial.clues[self.place])
            self.costs[rule] = self.trial.board.cost(self.first)

    @property
    def best(self) -> FitRule:
        """The one that costs least."""
        return min(self.costs, key=lambda rule: float(self.costs[rule].mean()))

    @property
    def plainest(self) -> FitRule:
        """The plainest that costs no more than a standard error beyond the least."""
        least = self.costs[self.best]

        def near(rule: FitRule) -> bool:
            more = self.costs[rule] - least
            return float(more.mean()) <= standard_error(more)

        able = [rule for rule in self.costs if near(rule)]
        return min(able, key=lambda one: (one.plainness, float(self.costs[one].mean())))


def memorable(value: float) -> float:
    """A figure to as many digits as anybody remembers."""
    return float(f"{value:.{DIGITS}g}")
