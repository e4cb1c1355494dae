"""Site bills after the order, as far as a bound may count on them.

A step's bill falls due when the sum over all clusters passes the room that the order bought. Of one
cluster a step, the *tipper*, it is known which of its states pass it whatever the others do: those
whose own use is more than the room less the least that the others can add once they are ordered. A
bound may charge the tipper for going there, and give it back where a state of it is left again: as
a bill costs no more the later it comes, all that is charged so is never more than the bill.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise, product
from typing import NamedTuple

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.study.ready.step_costs import SiteStep
from optioneer.study.site_costs.site_bills import States
from optioneer.study.site_costs.site_cost import SiteTerm
from optioneer.valuation.choice.selection import Limit, cheapest

ROUNDING = 1e-6
"""Smaller differences between sums of uses are none."""

Dues = tuple[tuple[int, int, float], ...]
"""What a tipper is charged for: step, level that the order bought, use from which on it tips it."""


@dataclass(frozen=True)
class StepCase:
    """One step when the order buys some level, and the least use of the tipper that passes it.

    Parameters
    ----------
    number, level
        Of the step, and of what the order buys.
    tips
        Use of the tipper from which on it passes the level's room; infinite if it never does.
    limits
        What the packages keep that this is true of.
    """

    number: int
    level: int
    tips: float
    limits: tuple[Limit, ...]


@dataclass(frozen=True)
class Least:
    """The package with the least bound, and what its tippers were charged for.

    Parameters
    ----------
    package
        One state a cluster.
    dues
        By cluster; none: nothing.
    now
        What the site costs with the order [money].
    """

    package: States
    dues: tuple[Dues, ...]
    now: float


class _Counted(NamedTuple):
    """What the steps may come to, what is charged then, and the least that packages cost so."""

    cases: tuple[StepCase, ...]
    dues: tuple[Dues, ...]
    told: list[Floats]
    now: float
    least: float


@dataclass(frozen=True)
class LaterBills:
    """The bills of a site that a bound may count on.

    Parameters
    ----------
    chosen
        A package; its bills say which clusters are tippers.
    """

    site: SiteTerm
    chosen: States

    @cached_property
    def tippers(self) -> tuple[int, ...]:
        """Of each step the cluster whose retrofits add most to its sum, on average.

        Where those of the package add nothing, the one whose retrofits could add most.
        """
        clusters = range(len(self.chosen))
        added = [
            [self.site.bills.rise(number, c, self.chosen[c]) for c in clusters]
            for number in range(len(self.site.steps))
        ]
        could = [[float(np.ptp(own)) for own in uses] for uses in self.site.uses]
        return tuple(
            int(np.argmax(rises if max(rises) > 0.0 else most))
            for rises, most in zip(added, could, strict=True)
        )

    def dues(self, cluster: int) -> tuple[Dues, ...]:
        """All that a cluster may have to be charged for; nothing first."""
        own = [n for n, tipper in enumerate(self.tippers) if tipper == cluster]
        cases = product(*({(c.level, c.tips) for c in self._cases(n)} for n in own))
        found = (self._dues(zip(own, each, strict=True)) for each in cases)
        return tuple(dict.fromkeys([(), *found]))

    @staticmethod
    def _dues(told: Iterable[tuple[int, tuple[int, float]]]) -> Dues:
        return tuple((n, level, tips) for n, (level, tips) in told if math.isfinite(tips))

    def charged(self, cluster: int, dues: Dues) -> Floats:
        """What being in each state is charged for so far, shape (T, P) [money]."""
        periods, size = self.site.problem.timeline.periods, self.site.costs[cluster].lattice.size
        total = np.zeros((periods, size))
        for number, level, tips in dues:
            total += self._price(number, level)[:, None] * self._tipped(number, cluster, tips)
        return total

    def _tipped(self, number: int, cluster: int, tips: float) -> Bools:
        passed: Bools = self.site.uses[number][cluster] >= tips
        return passed

    def _price(self, number: int, level: int) -> Floats:
        """The least that passing a level can cost from each period on, discounted, (T,) [money]."""
        timeline, above = self.site.problem.timeline, self.site.steps[number].levels[level + 1 :]
        rise = timeline.retrofit_level[: timeline.periods]
        price = np.min([each.later * rise + each.downtime for each in above], axis=0)
        due: Floats = timeline.at_start[: timeline.periods] * price
        # It may be paid for a period after the fitting; a bill that rises is taken at its least.
        return np.minimum.accumulate(np.append(due[1:], due[-1:]))

    def _cases(self, number: int) -> Iterator[StepCase]:
        """What a step may come to: by level bought and by how much room others leave the tipper."""
        step, uses = self.site.steps[number], self.site.uses[number]
        tipper, least = self.tippers[number], self._least_uses[number]
        others = [np.zeros_like(low) if c == tipper else low for c, low in enumerate(least)]
        own = [*np.unique(uses[tipper]), math.inf]
        for level, bought in enumerate(step.levels):
            kept = [Limit(uses, bought.room)] if math.isfinite(bought.room) else []
            if level > 0:
                below = step.levels[level - 1].room + ROUNDING
                kept.append(Limit([-use for use in uses], -below))
            if not math.isfinite(bought.room):
                yield StepCase(number, level, math.inf, tuple(kept))
                continue
            for fits, tips in pairwise(own):
                room = Limit(others, bought.room - float(fits) + ROUNDING)
                yield StepCase(number, level, float(tips), (*kept, room))

    @cached_property
    def _least_uses(self) -> tuple[tuple[Floats, ...], ...]:
        """Least that each state can add to each step, whatever is fitted later, shape (P,)."""
        return tuple(
            tuple(self._least_use(step, cluster) for cluster in range(len(self.chosen)))
            for step in self.site.steps
        )

    def _least_use(self, step: SiteStep, cluster: int) -> Floats:
        lattice = self.site.costs[cluster].lattice
        total = np.zeros(lattice.size)
        for axis, levels in enumerate(lattice.levels):
            uses = self.site.bills.level_uses(step, lattice, axis)
            later = [uses[target.level] for target in lattice.targets if target.axis == axis]
            total += np.minimum(uses, min(later, default=math.inf))[levels]
        return total

    def least(self, costs: Sequence[dict[Dues, Floats]], limits: Sequence[Limit]) -> "Least | None":
        """The package whose cost, site with the order and bills charged are the least.

        Parameters
        ----------
        costs
            Mean cost of every state of each cluster under each of `dues`, shape (P,) [money].
        limits
            Limits on the package, such as a budget.
        """
        best, lowest = None, (math.inf, 0)
        made = (self._counted(costs, cases) for cases in self._every_case)
        hopeful = sorted(enumerate(made), key=lambda each: each[1].least)
        for place, (cases, dues, told, now, least) in hopeful:
            if least > lowest[0]:  # nor can any that is left be cheaper
                break
            package = cheapest(told, [*limits, *(limit for case in cases for limit in case.limits)])
            if package is None:
                continue
            total = now + sum(float(each[s]) for each, s in zip(told, package, strict=True))
            if (total, place) < lowest:
                best, lowest = Least(package, dues, now), (total, place)
        return best

    @property
    def _every_case(self) -> Iterator[tuple[StepCase, ...]]:
        return product(*(list(self._cases(n)) for n in range(len(self.site.steps))))

    def _counted(
        self, costs: Sequence[dict[Dues, Floats]], cases: tuple[StepCase, ...]
    ) -> "_Counted":
        dues = tuple(self._of(cluster, cases) for cluster in range(len(costs)))
        pairs = zip(costs, dues, strict=True)
        told = [self._able(c, each[own], own) for c, (each, own) in enumerate(pairs)]
        now = sum(self._now(case) for case in cases)
        return _Counted(cases, dues, told, now, now + sum(float(each.min()) for each in told))

    def _of(self, cluster: int, cases: Sequence[StepCase]) -> Dues:
        own = [case for case in cases if self.tippers[case.number] == cluster]
        return self._dues((case.number, (case.level, case.tips)) for case in own)

    def _able(self, cluster: int, cost: Floats, dues: Dues) -> Floats:
        """Costs without the states that the order's level has no room for."""
        passed = [self._tipped(number, cluster, tips) for number, _, tips in dues]
        return np.where(np.any(passed, axis=0), np.inf, cost) if passed else cost

    def _now(self, case: StepCase) -> float:
        levels = self.site.steps[case.number].levels
        return levels[case.level].now - levels[0].now
