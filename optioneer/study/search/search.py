"""Better packages of a large cluster, step by step, all compared on the same futures."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial

import numpy as np

from optioneer.study.problem.effort import Clock
from optioneer.study.search.neighbours import Neighbourhood
from optioneer.valuation.choice.frontier import undominated
from optioneer.valuation.large.short_list import Appraisal
from optioneer.valuation.lattice.levels import Levels, Terms
from optioneer.valuation.timing.policy import Mapper

MOST_PASSES = 6
"""Times that all neighbours of the best package are gone through."""

MOST_COMPANIONS = 6
"""Changes that are tried beside the flip of an option."""

MOST_ON_FRONTIER = 24
"""Packages kept for smaller budgets."""

CHUNK = 8
"""Packages compared between two looks at the clock."""


@dataclass
class Search:
    """Packages seen so far, with their mean cost on the futures of the search.

    Parameters
    ----------
    run
        A map over all cores.
    room
        Most that may be paid, if there is a limit [money].
    """

    terms: Terms
    appraisal: Appraisal
    run: Mapper
    clock: Clock
    room: float | None
    means: dict[Levels, float] = field(default_factory=dict)
    likeliest: Levels | None = None

    @cached_property
    def near(self) -> Neighbourhood:
        """Which packages lie next to which."""
        return Neighbourhood(self.terms)

    def seen(self, packages: Iterable[Levels]) -> None:
        """Value packages that were not seen before."""
        new = [package for package in dict.fromkeys(packages) if package not in self.means]
        worths = self.run(partial(self.appraisal.worth, only="learned"), new)
        for package, worth in zip(new, worths, strict=True):
            self.means[package] = float(worth.learned.mean())

    def affordable(self, package: Levels) -> bool:
        """Whether the limit on the price is kept."""
        return self.room is None or self.terms.order_price(package) <= self.room + 0.005

    @property
    def best(self) -> Levels:
        """The cheapest package seen that keeps to the limit; of none the one nearest to it."""
        some = [package for package in self.means if self.affordable(package)]
        if not some:
            return min(self.means, key=self.terms.order_price)
        return min(some, key=lambda package: self.means[package])

    def improve(self, share: float) -> None:
        """Step to better neighbours until there is none, or a share of the time is used up."""
        for _ in range(MOST_PASSES):
            start = self.best
            self._look(self.near.of(start), share)
            self._combined(start)
            if self.best == start or self.clock.over(share):
                return

    def _look(self, packages: Sequence[Levels], share: float) -> None:
        some = [package for package in packages if self.affordable(package)]
        for first in range(0, len(some), CHUNK):
            if self.clock.over(share):
                return
            self.seen(some[first : first + CHUNK])

    def _combined(self, start: Levels) -> None:
        """Take the changes that help one after the other, as long as each still helps."""
        helpful = [p for p in self.near.of(start) if self.means.get(p, np.inf) < self.means[start]]
        best = self.best
        for package in sorted(helpful, key=lambda p: self.means[p]):
            changed = {i for i, level in enumerate(package) if level != start[i]}
            moved = tuple(package[i] if i in changed else level for i, level in enumerate(best))
            if self.terms.keeps(moved) and self.affordable(moved):
                self.seen([moved])
                best = min(best, moved, key=lambda p: self.means[p])

    def compare(self, share: float) -> None:
        """Look for the best package with the other choice on each option, closest calls first."""
        best = self.best
        for option in self.terms.place:
            self._look(self.near.flipped(best, option), share)
        for option in sorted(self.terms.place, key=self._extra):
            if self.clock.over(share):
                return
            self._look(self._companions(best, option), share)

    def _extra(self, option: int) -> float:
        other = self.otherwise(option)
        return np.inf if other is None else self.means[other]

    def otherwise(self, option: int) -> Levels | None:
        """The cheapest package seen that makes the other choice on an option than the best."""
        axis, level = self.terms.place[option]
        held = self.best[axis] == level
        others = [p for p in self.means if (p[axis] == level) != held and self.affordable(p)]
        return min(others, key=lambda p: self.means[p], default=None)

    def _companions(self, best: Levels, option: int) -> list[Levels]:
        """What is worth changing beside the other choice on an option."""
        other, axis = self.otherwise(option), self.terms.place[option][0]
        if other is None:
            return []
        found = []
        for near in sorted(self.near.tied[axis], key=lambda a: self._loss(best, a)):
            for level in range(len(self.terms.fitted[near])):
                moved = self.near.repaired((*other[:near], level, *other[near + 1 :]), {near, axis})
                if moved is not None and moved not in self.means:
                    found.append(moved)
        return found[:MOST_COMPANIONS]

    def _loss(self, best: Levels, axis: int) -> float:
        """What the cheapest change of a slot costs, as far as it was seen."""
        others = (self.means[p] for p in self.near.of_slot(best, axis) if p in self.means)
        return min(others, default=np.inf)

    def kept(self) -> list[Levels]:
        """The packages worth valuing: the best, the other choices, those for smaller budgets."""
        others = (self.otherwise(option) for option in self.terms.place)
        found = [self.best, *(other for other in others if other is not None)]
        if self.likeliest is not None:
            found.append(self.likeliest)
        return list(dict.fromkeys([*found, *self._frontier()]))

    def _frontier(self) -> list[Levels]:
        packages = list(self.means)
        price = np.array([self.terms.order_price(package) for package in packages])
        points = undominated(price, np.array([self.means[package] for package in packages]))
        step = -(-len(points) // MOST_ON_FRONTIER)
        return [packages[i] for i in points[::-1][::step]]
