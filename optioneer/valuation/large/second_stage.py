"""The second stage of a cluster's programme: retrofits and work in one future that is known."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.valuation.large.coefficients import Seen
from optioneer.valuation.large.columns import Matrix
from optioneer.valuation.lattice.lattice import Target

FINER = (0, 1, 5, 13)
"""Periods after the last start before work arrives at which spans begin: short ones first."""

FEW = 12
"""Periods up to which each is a span of its own."""

PeriodSpan = tuple[int, int]
"""First and last period of a span."""


@dataclass(frozen=True)
class _Fit:
    """A retrofit in a span: what it replaces, and its column."""

    target: Target
    source: int
    span: PeriodSpan
    column: int


@dataclass
class SecondStage:
    """The second stage of one future on its way into the programme."""

    made: Matrix
    seen: Seen
    future: int
    fits: list[_Fit] = field(default_factory=list)
    eased: list[_Fit] = field(default_factory=list)

    @property
    def weight(self) -> float:
        """Share of this future in the mean."""
        return 1.0 / self.seen.view.futures.count

    @cached_property
    def present(self) -> Bools:
        """Rows of streams that earn anything, shape (K,)."""
        there: Bools = self.seen.margin_to_come[0, :, self.future] > 0.0
        return there

    @property
    def last(self) -> int:
        """Last period in which a retrofit can still be of use, be it only for the sale."""
        return self.seen.last + self._resale_pays

    def add(self) -> None:
        """Columns and rows of this future."""
        if self.last >= 1:
            for i, target in enumerate(self.seen.terms.targets):
                for source in range(len(self.seen.terms.fitted[target.axis])):
                    if source != target.level:
                        self._fits(i, target, source)
            self._slot_rows()
            self._easing_rows()
            self._rule_rows()
            for visit in range(len(self.seen.terms.visits)):
                self._visit(visit)
        for row in np.flatnonzero(self.present):
            self._work(int(row))

    def _fits(self, i: int, target: Target, source: int) -> None:
        """Columns of one retrofit in the place of another level, a span each, where it can pay."""
        rows = [row for row in self.seen.serves[target.option] if self.present[row]]
        starts = [max(int(self.seen.view.arrival[row, self.future]) - 1, 1) for row in rows]
        starts += [1] * self._resale_pays
        kept = self._keeping_cost(target, source)
        plain, eased = self._charges(i, target, source)
        for span in _spans(starts, self.last):
            part = slice(span[0], span[1] + 1)
            most = self._most(rows, span[0] + 1)
            for charge in (plain, eased):
                cost = np.inf if charge is None else float((charge + kept)[part].min())
                if cost < most or (self._resale_pays and np.isfinite(cost)):
                    column = self.made.column(self.weight * cost)
                    self.fits.append(_Fit(target, source, span, column))
                    self.eased += self.fits[-1:] if charge is eased else []

    @cached_property
    def _resale_pays(self) -> bool:
        """Whether a retrofit earns more than its charge at the sale, whatever work comes.

        So it does where the price later is far below the price that resale counts on. It may also
        pay for what it needs, or that makes way for it: nothing is left out then.
        """
        return any(
            (charge + self._keeping_cost(target, source))[1:].min() < 0.0
            for i, target in enumerate(self.seen.terms.targets)
            for source in range(len(self.seen.terms.fitted[target.axis]))
            if source != target.level
            for charge in self._charges(i, target, source)
            if charge is not None
        )

    def _keeping_cost(self, target: Target, source: int) -> Floats:
        """What a level costs to keep beyond the one it replaces; infinite once there is a sale."""
        own = self.seen.keeping_cost(target.axis, target.level, self.future)
        there = np.isfinite(own)
        own[there] -= self.seen.keeping_cost(target.axis, source, self.future)[there]
        return own

    def _charges(self, i: int, target: Target, source: int) -> tuple[Floats, Floats | None]:
        """Charge by period, and the eased one if it hangs on something else being fitted."""
        plain, eased, easing = self.seen.plain[i], self.seen.eased[i], target.easing
        if eased is None or easing is None:
            return plain[:, self.future], None
        if easing.axis == target.axis:
            return (eased if easing.level == source else plain)[:, self.future], None
        return plain[:, self.future], eased[:, self.future]

    def _most(self, rows: Sequence[int], period: int) -> float:
        """Most that an option can bring from a period on by the streams that it serves [money].

        What it saves by easing others is no more: they pay by the same streams, or not at all.
        """
        gains = self.seen.gains
        return float(
            sum(gains[row][1] * self.seen.margin_to_come[period, row, self.future] for row in rows)
        )

    def _columns_holding(
        self, place: tuple[int, int], there: int, gone: int
    ) -> tuple[list[int], list[int]]:
        """Columns that add up, less others, to whether a level is held.

        Parameters
        ----------
        place
            Slot and level.
        there
            Retrofits count from spans that begin by this period.
        gone
            What they replace goes with spans that end by this period.
        """
        axis, level = place
        own = [fit for fit in self.fits if fit.target.axis == axis]
        came = [f.column for f in own if f.target.level == level and f.span[0] <= there]
        went = [f.column for f in own if f.source == level and f.span[1] <= gone]
        return [self.made.levels[axis] + level, *came], went

    def _at(self, fit: _Fit, option: int) -> tuple[list[int], list[int]]:
        """The same of an option once the moves of a retrofit's date are made."""
        return self._columns_holding(self.seen.terms.place[option], fit.span[1], fit.span[0] - 1)

    def _slot_rows(self) -> None:
        """Nothing is replaced that is not there."""
        for axis, level in sorted({(fit.target.axis, fit.source) for fit in self.fits}):
            ends = {f.span[1] for f in self.fits if (f.target.axis, f.source) == (axis, level)}
            only = all(f.target.level != level for f in self.fits if f.target.axis == axis)
            for end in [max(ends)] if only else sorted(ends):
                held, gone = self._columns_holding((axis, level), end - 1, end)
                self.made.row(gone, held)

    def _easing_rows(self) -> None:
        """What is fitted at an eased price needs what eases it by then."""
        for fit in self.eased:
            easing = fit.target.easing
            if easing is not None:
                held, gone = self._at(fit, self.seen.terms.fitted[easing.axis][easing.level])
                self.made.row([fit.column, *gone], held)

    def _rule_rows(self) -> None:
        terms = self.seen.terms
        for one, other in terms.requires:
            for fit in self.fits:
                if fit.target.option == one:
                    held, gone = self._at(fit, other)
                    self.made.row([fit.column, *gone], held)
        for one, other in terms.excludes:
            for fit in self.fits:
                if fit.target.option in {one, other}:
                    rival = other if fit.target.option == one else one
                    held, gone = self._surely(terms.place[rival], fit.span)
                    self.made.row([fit.column, *held], gone, 1.0)

    def _surely(self, place: tuple[int, int], span: PeriodSpan) -> tuple[list[int], list[int]]:
        """Columns that add up, less others, to at most whether a level is held all through a span.

        What is fitted in spans that end by its start is there; what may go before its end is not.
        """
        axis, level = place
        own = [fit for fit in self.fits if fit.target.axis == axis]
        came = [f.column for f in own if f.target.level == level and f.span[1] <= span[0]]
        went = [f.column for f in own if f.source == level and f.span[0] <= span[1]]
        return [self.made.levels[axis] + level, *came], went

    def _visit(self, visit: int) -> None:
        """Call-outs, by the spans between all starts of retrofits that need them."""
        charge = self.seen.visits[visit][:, self.future]
        fits = [fit for fit in self.fits if fit.target.visit == visit]
        if not fits or not charge.any():
            return
        starts = sorted({fit.span[0] for fit in fits})
        ends = [*(start - 1 for start in starts[1:]), self.last]
        calls = [
            (start, end, self.made.column(self.weight * float(charge[start : end + 1].min())))
            for start, end in zip(starts, ends, strict=True)
        ]
        for fit in fits:
            first, last = fit.span
            self.made.row([fit.column], [c for s, e, c in calls if s <= last and e >= first])

    def _work(self, row: int) -> None:
        """Who does a stream when."""
        terms = self.seen.terms
        ways = [way for way in terms.ways[row] if way.share > terms.fallback[row]]
        brings = np.array([self.seen.brings(row, way, self.future) for way in ways])
        cuts = self._cuts(row, {option for way in ways for option in way.options})
        for start, stop in pairwise(sorted({*cuts, *self._turns(brings, cuts)})):
            done = []
            for way, worth in zip(ways, brings, strict=True):
                column = self.made.column(-self.weight * float(worth[start:stop].sum()))
                for option in way.options:
                    held, gone = self._columns_holding(terms.place[option], start - 1, start - 1)
                    self.made.row([column, *gone], held)
                done.append(column)
            if len(done) > 1:
                self.made.row(done, (), 1.0)

    def _turns(self, brings: Floats, cuts: Sequence[int]) -> list[int]:
        """Periods in which the order of the ways by what they bring changes, at a price of an hour.

        Between two of them one way is the best of those that are owned, whichever these are, so
        that choosing one for the whole time loses nothing.
        """
        if self.seen.hours is None or len(brings) < 2:  # noqa: PLR2004 - one has no order
            return []
        order = np.argsort(brings[:, cuts[0] : cuts[-1]], axis=0, kind="stable")
        changed = (np.diff(order, axis=1) != 0).any(axis=0)
        return [cuts[0] + 1 + int(t) for t in np.flatnonzero(changed)]

    def _cuts(self, row: int, options: set[int]) -> list[int]:
        """Periods in which what can do a stream changes, its arrival and its end included."""
        arrival = int(self.seen.view.arrival[row, self.future])
        end = int(self.seen.view.end[row, self.future])
        places = {self.seen.terms.place[option] for option in options}
        come = {f.span[0] + 1 for f in self.fits if (f.target.axis, f.target.level) in places}
        gone = {f.span[1] + 1 for f in self.fits if (f.target.axis, f.source) in places}
        return sorted({arrival, end, *(cut for cut in come | gone if arrival < cut < end)})


def _spans(starts: Sequence[int], last: int) -> list[PeriodSpan]:
    """Spans of periods that begin where work makes a retrofit worth while, the first at 1."""
    if not starts:
        return []
    cuts = {1, *(start + later for start in starts for later in FINER)}
    if last <= FEW:
        cuts |= set(range(1, last + 1))
    begins = sorted(cut for cut in cuts if cut <= last)
    return list(zip(begins, [*(b - 1 for b in begins[1:]), last], strict=True))
