"""What futures bring to a cluster, as the programme needs it."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.large.doable import Doable, price_of
from optioneer.valuation.large.short_list import Keeping, margins
from optioneer.valuation.lattice.charges import Charges
from optioneer.valuation.lattice.levels import Terms, Way
from optioneer.valuation.lattice.view import View


@dataclass(frozen=True)
class Seen:
    """What n futures bring, as arrays."""

    terms: Terms
    view: View

    @property
    def last(self) -> int:
        """Last period in which a retrofit can still be of use to work."""
        return self.view.timeline.periods - 2

    @cached_property
    def margin_to_come(self) -> Floats:
        """Discounted margin from each period on, shape (T + 1, K, n) [money]."""
        flows = margins(self.view)
        sums = np.cumsum(flows[::-1], axis=0)[::-1]
        return np.concatenate([sums, np.zeros((1, *sums.shape[1:]))])

    @cached_property
    def hours(self) -> Floats | None:
        """What an hour a year costs in each period, shape (T, n) [money]; none where it is free."""
        if not Doable(self.terms).takes_hours:
            return None
        clock = self.view.timeline
        return np.asarray(price_of(self.view) * (clock.during * clock.dt)[:, None])

    def brings(self, row: int, way: Way, future: int) -> Floats:
        """What a way earns beyond the fallback, its hours paid, in each period, (T,) [money]."""
        gain = (way.share - self.terms.fallback[row]) * -np.diff(
            self.margin_to_come[:, row, future]
        )
        if self.hours is not None:
            here = self.margin_to_come[:-1, row, future] > self.margin_to_come[1:, row, future]
            gain = gain - way.hours * self.hours[:, future] * here
        return np.asarray(np.maximum(gain, 0.0))

    @property
    def constant(self) -> float:
        """What is lost without any way, on average [money]."""
        lost = 1.0 - np.array(self.terms.fallback)
        return float((lost @ self.margin_to_come[0]).mean()) if len(lost) else 0.0

    @cached_property
    def _charges(self) -> Charges:
        return self.view.charges(range(self.view.timeline.periods))

    def _by_period(self, moments: Floats) -> Floats:
        """Shape (T, n) from (T x n,)."""
        return moments.reshape(self.view.timeline.periods, self.view.futures.count)

    @cached_property
    def plain(self) -> tuple[Floats, ...]:
        """What each retrofit is charged in each period, shape (T, n) each [money]."""
        return tuple(self._by_period(each) for each in self._charges.plain)

    @cached_property
    def eased(self) -> tuple[Floats | None, ...]:
        """The same once eased, shape (T, n), none where nothing eases it."""
        return tuple(
            None if each is None else self._by_period(each) for each in self._charges.eased
        )

    def keeping_cost(self, axis: int, level: int, future: int) -> Floats:
        """Upkeep of a level, from the period after each one on, less resale, shape (T,) [money].

        Infinite from the sale of the machine on.
        """
        timeline, stay = self.view.timeline, int(self.view.stay[future])
        keeping = Keeping(self.terms, timeline, self.view.futures.stay[future : future + 1])
        years = timeline.annuity[1:] - timeline.annuity[stay]
        cost: Floats = self.terms.upkeep[axis][level] * years - keeping.receipts(axis, level)
        cost[stay:] = np.inf
        return cost

    @cached_property
    def visits(self) -> tuple[Floats, ...]:
        """Call-out charges, shape (T, n) each [money]."""
        return tuple(self._by_period(np.asarray(each)) for each in self._charges.visits)

    @cached_property
    def gains(self) -> tuple[tuple[int, float], ...]:
        """By row: most that any way earns beyond the fallback."""
        return tuple(
            (row, max([way.share for way in ways], default=0.0) - self.terms.fallback[row])
            for row, ways in enumerate(self.terms.ways)
        )

    @cached_property
    def serves(self) -> dict[int, frozenset[int]]:
        """Rows of the streams that each option helps, also by what needs it or is eased by it."""
        rows = {option: set[int]() for option in self.terms.place}
        for row, ways in enumerate(self.terms.ways):
            for option in {option for way in ways for option in way.options}:
                rows[option].add(row)
        links = [*self.terms.requires, *self._easings, *self._makings_way]
        for _ in self.terms.place:
            before = sum(map(len, rows.values()))
            for helped, helper in links:
                rows[helper] |= rows[helped]
            if sum(map(len, rows.values())) == before:
                break
        return {option: frozenset(own) for option, own in rows.items()}

    @cached_property
    def _easings(self) -> list[tuple[int, int]]:
        """Eased option and the one that eases it."""
        fitted = self.terms.fitted
        return [
            (target.option, fitted[target.easing.axis][target.easing.level])
            for target in self.terms.targets
            if target.easing is not None
        ]

    @property
    def _makings_way(self) -> list[tuple[int, int]]:
        """An option that another excludes, and a retrofit that takes the other's place."""
        pairs = [pair for a, b in self.terms.excludes for pair in ((a, b), (b, a))]
        return [
            (freed, target.option)
            for freed, rival in pairs
            for target in self.terms.targets
            if target.axis == self.terms.place[rival][0] and target.option not in {rival, freed}
        ]
