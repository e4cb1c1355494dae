"""A cluster as a mixed-integer programme: the order now, retrofits with the future known.

First stage: one level a slot. Second stage, for each of some futures: in which span of periods
each retrofit is made, which way does each work stream when. Only the order is integer; spans take
the least charge and the earliest use that lie in them. Every simplification makes the programme
cheaper, never dearer, than what it stands for, so that its bound is a bound on hindsight, and
hindsight is one on what anybody can reach.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from optioneer.valuation.lattice import Bools, Target
from optioneer.valuation.seen import Seen
from optioneer.valuation.terms import Levels, Terms
from optioneer.valuation.timeline import Floats
from optioneer.valuation.view import View

FINER = (0, 1, 5, 13)
"""Periods after the last start before work arrives at which spans begin: short ones first."""

FEW = 12
"""Periods up to which each is a span of its own."""

UNIT = 1000.0
"""Money in the objective of the solver."""

_OPTIMAL, _INFEASIBLE = 0, 2

Span = tuple[int, int]
"""First and last period of a span."""


@dataclass(frozen=True)
class Solution:
    """What the solver found.

    Parameters
    ----------
    package
        The best order found, if any.
    bound
        No order costs less on these futures [money]; minus infinity where nothing was proven.
    value
        What the programme makes of `package` [money]; infinite without one.
    """

    package: Levels | None
    bound: float
    value: float


@dataclass(frozen=True)
class Asked:
    """Limits on the order, and on the work of finding it.

    Parameters
    ----------
    room
        Most that may be paid beyond the base price, if there is a limit [money].
    fixed
        Levels that must, or must not, be ordered: slot, level, whether.
    seconds
        Most that the solver may take [s].
    within
        Relative gap at which it may stop.
    """

    room: float | None = None
    fixed: tuple[tuple[int, int, bool], ...] = ()
    seconds: float = 60.0
    within: float = 1e-3


@dataclass(frozen=True)
class Programme:
    """The programme of one cluster on n futures.

    Parameters
    ----------
    terms
        The cluster.
    objective
        Cost of each column, shape (columns,) [money].
    constant
        Cost that no choice changes [money].
    matrix, upper
        Rows that must not exceed their upper bounds.
    equal
        How many of the first rows must be equal to theirs.
    most
        Largest value of each column.
    """

    terms: Terms
    objective: Floats
    constant: float
    matrix: csr_array
    upper: Floats
    equal: int
    most: Floats

    @property
    def orders(self) -> int:
        """Number of columns that stand for levels ordered."""
        return sum(map(len, self.terms.fitted))

    def solved(self, asked: Asked) -> Solution:
        """The order that costs least, or the best that can be found in time.

        Notes
        -----
        HiGHS through SciPy: first the linear relaxation, so that there is a bound early, then
        branch and cut.
        """
        relaxed = self._solved(asked, whole=0)
        if relaxed.status == _INFEASIBLE:
            return Solution(None, np.inf, np.inf)
        found = self._solved(asked, whole=self.orders)
        bound = max(_proven(relaxed), _proven(found))
        package = None if found.x is None else self._package(found.x)
        value = np.inf if package is None else float(found.fun) * UNIT + self.constant
        return Solution(package, bound * UNIT + self.constant, value)

    def _solved(self, asked: Asked, *, whole: int) -> Any:
        """What the solver says when so many of the first columns must be whole."""
        integrality = np.zeros(len(self.objective), dtype=np.intp)
        integrality[:whole] = 1
        return milp(
            self.objective / UNIT,
            integrality=integrality,
            bounds=self._bounds(asked),
            constraints=self._rows(asked),
            options={"time_limit": max(asked.seconds, 0.05), "mip_rel_gap": asked.within},
        )

    def _bounds(self, asked: Asked) -> Bounds:
        low, high = np.zeros(len(self.objective)), self.most.copy()
        first = _first_columns(self.terms)
        for axis, level, wanted in asked.fixed:
            low[first[axis] + level] = float(wanted)
            high[first[axis] + level] = float(wanted)
        return Bounds(low, high)

    def _rows(self, asked: Asked) -> list[LinearConstraint]:
        lower = np.full(len(self.upper), -np.inf)
        lower[: self.equal] = self.upper[: self.equal]
        rows = [LinearConstraint(self.matrix, lower, self.upper)]
        if asked.room is not None:
            price = _price_row(self.terms, len(self.objective))
            rows.append(LinearConstraint(price[None, :], ub=asked.room + 1e-6))
        return rows

    def _package(self, x: Floats) -> Levels:
        edges = np.cumsum([0, *map(len, self.terms.fitted)])
        return tuple(int(np.argmax(x[a:b])) for a, b in pairwise(edges))


def programme(terms: Terms, view: View) -> Programme:
    """The programme of a cluster on the futures of a view.

    Parameters
    ----------
    terms
        The cluster.
    view
        Futures as the cluster meets them.
    """
    made = _Columns(terms)
    made.orders(view)
    seen = Seen(terms, view)
    for future in range(view.futures.count):
        _Future(made, seen, future).add()
    return made.programme(seen.constant)


def dearest(terms: Terms) -> Levels:
    """The package with the highest price."""
    return _by_price(terms, -1.0)


def cheapest(terms: Terms) -> Levels:
    """The package with the lowest price."""
    return _by_price(terms, 1.0)


def _by_price(terms: Terms, sign: float) -> Levels:
    made = _Columns(terms)
    made.rules()
    made.objective = list(sign * _price_row(terms, len(made.objective)))
    found = made.programme(0.0).solved(Asked(within=0.0)).package
    if found is None:
        raise RuntimeError("A cluster without any package that can be ordered.")
    return found


def _proven(found: Any) -> float:
    """Lower bound that the solver has proven, minus infinity if none."""
    if found.mip_dual_bound is not None:
        return float(found.mip_dual_bound)
    return float(found.fun) if found.status == _OPTIMAL else -np.inf


def _first_columns(terms: Terms) -> tuple[int, ...]:
    """Column of the first level of each slot."""
    return tuple(int(edge) for edge in np.cumsum([0, *map(len, terms.fitted)])[:-1])


def _price_row(terms: Terms, columns: int) -> Floats:
    """What each column adds to the price; bundles follow the levels."""
    row = np.zeros(columns)
    own = [price for levels in terms.price for price in levels]
    row[: len(own)] = own
    row[len(own) : len(own) + len(terms.bundles)] = [-b.discount for b in terms.bundles]
    return row


@dataclass
class _Columns:
    """Columns and rows as they are added."""

    terms: Terms
    objective: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)

    @cached_property
    def levels(self) -> tuple[int, ...]:
        """Column of ordering the first level of each slot."""
        return _first_columns(self.terms)

    @cached_property
    def ordered(self) -> dict[int, int]:
        """Column of ordering each option."""
        return {o: self.levels[axis] + level for o, (axis, level) in self.terms.place.items()}

    def column(self, cost: float) -> int:
        """A new column."""
        self.objective.append(cost)
        return len(self.objective) - 1

    def row(self, plus: Iterable[int], minus: Iterable[int], upper: float = 0.0) -> None:
        """The sum of some columns less that of others is at most `upper`."""
        number = len(self.upper)
        self.entries += [(number, column, 1.0) for column in plus]
        self.entries += [(number, column, -1.0) for column in minus]
        self.upper.append(upper)

    def orders(self, view: View) -> None:
        """Columns and rows of the order, with what its options cost whatever the future."""
        self.rules()
        terms, timeline = self.terms, view.timeline
        price = terms.order_factor * _price_row(terms, len(self.objective))
        upkeep = [u for levels in terms.upkeep for u in levels]
        resale = [r for levels in terms.resale for r in levels]
        price[: len(upkeep)] += timeline.annuity[0] * np.array(upkeep)
        price[: len(upkeep)] -= timeline.at_start[-1] * np.array(resale)
        self.objective = list(price)

    def rules(self) -> None:
        """One level a slot; requirements, exclusions, bundles."""
        terms = self.terms
        for first, levels in zip(_first_columns(terms), terms.fitted, strict=True):
            columns = [self.column(0.0) for _ in levels]
            if columns[0] != first:
                raise RuntimeError("The order comes first.")
            self.row(columns, (), 1.0)
        bundles = [self.column(0.0) for _ in terms.bundles]
        for one, other in terms.requires:
            self.row([self.ordered[one]], [self.ordered[other]])
        for one, other in terms.excludes:
            self.row([self.ordered[one], self.ordered[other]], (), 1.0)
        for column, bundle in zip(bundles, terms.bundles, strict=True):
            members = [self.ordered[option] for option in bundle.options]
            for member in members:
                self.row([column], [member])
            self.row(members, [column], len(members) - 1.0)

    def programme(self, constant: float) -> Programme:
        """What has been added, as a programme."""
        rows, columns, values = zip(*self.entries, strict=True)
        shape = (len(self.upper), len(self.objective))
        return Programme(
            terms=self.terms,
            objective=np.array(self.objective),
            constant=constant,
            matrix=csr_array((values, (rows, columns)), shape=shape),
            upper=np.array(self.upper),
            equal=len(self.terms.fitted),
            most=np.ones(len(self.objective)),
        )


@dataclass(frozen=True)
class _Fit:
    """A retrofit in a span: what it replaces, and its column."""

    target: Target
    source: int
    span: Span
    column: int


@dataclass
class _Future:
    """The second stage of one future on its way into the programme."""

    made: _Columns
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
        there: Bools = self.seen.left[0, :, self.future] > 0.0
        return there

    def add(self) -> None:
        """Columns and rows of this future."""
        if self.seen.last >= 1:
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
        kept = self.seen.kept(target.axis, target.level) - self.seen.kept(target.axis, source)
        plain, eased = self._charges(i, target, source)
        for span in _spans(starts, self.seen.last):
            part = slice(span[0], span[1] + 1)
            most = self._most(target.option, rows, span[0] + 1)
            for charge in (plain, eased):
                cost = np.inf if charge is None else float((charge + kept)[part].min())
                if cost < most:
                    column = self.made.column(self.weight * cost)
                    self.fits.append(_Fit(target, source, span, column))
                    self.eased += self.fits[-1:] if charge is eased else []

    def _charges(self, i: int, target: Target, source: int) -> tuple[Floats, Floats | None]:
        """Charge by period, and the eased one if it hangs on something else being fitted."""
        plain, eased, easing = self.seen.plain[i], self.seen.eased[i], target.easing
        if eased is None or easing is None:
            return plain[:, self.future], None
        if easing.axis == target.axis:
            return (eased if easing.level == source else plain)[:, self.future], None
        return plain[:, self.future], eased[:, self.future]

    def _most(self, option: int, rows: Sequence[int], period: int) -> float:
        """Most that an option can bring from a period on [money]."""
        gains = self.seen.gains
        brings = sum(gains[row][1] * self.seen.left[period, row, self.future] for row in rows)
        saves = self.seen.saves.get(option)
        return float(brings) + (0.0 if saves is None else float(saves[self.future]))

    def _held(self, place: tuple[int, int], there: int, gone: int) -> tuple[list[int], list[int]]:
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
        return self._held(self.seen.terms.place[option], fit.span[1], fit.span[0] - 1)

    def _slot_rows(self) -> None:
        """Nothing is replaced that is not there."""
        for axis, level in sorted({(fit.target.axis, fit.source) for fit in self.fits}):
            ends = {f.span[1] for f in self.fits if (f.target.axis, f.source) == (axis, level)}
            only = all(f.target.level != level for f in self.fits if f.target.axis == axis)
            for end in [max(ends)] if only else sorted(ends):
                held, gone = self._held((axis, level), end - 1, end)
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

    def _surely(self, place: tuple[int, int], span: Span) -> tuple[list[int], list[int]]:
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
        charge = self.seen.visits[visit]
        fits = [fit for fit in self.fits if fit.target.visit == visit]
        if not fits or not charge.any():
            return
        starts = sorted({fit.span[0] for fit in fits})
        ends = [*(start - 1 for start in starts[1:]), self.seen.last]
        calls = [
            (start, end, self.made.column(self.weight * float(charge[start : end + 1].min())))
            for start, end in zip(starts, ends, strict=True)
        ]
        for fit in fits:
            first, last = fit.span
            self.made.row([fit.column], [c for s, e, c in calls if s <= last and e >= first])

    def _work(self, row: int) -> None:
        """Who does a stream when."""
        terms, left = self.seen.terms, self.seen.left[:, row, self.future]
        ways = [way for way in terms.ways[row] if way.share > terms.fallback[row]]
        cuts = self._cuts(row, {option for way in ways for option in way.options})
        for start, stop in pairwise(cuts):
            worth = self.weight * float(left[start] - left[stop])
            done = []
            for way in ways:
                column = self.made.column(-(way.share - terms.fallback[row]) * worth)
                for option in way.options:
                    held, gone = self._held(terms.place[option], start - 1, start - 1)
                    self.made.row([column, *gone], held)
                done.append(column)
            if len(done) > 1:
                self.made.row(done, (), 1.0)

    def _cuts(self, row: int, options: set[int]) -> list[int]:
        """Periods in which what can do a stream changes, its arrival and its end included."""
        arrival = int(self.seen.view.arrival[row, self.future])
        end = int(self.seen.view.end[row, self.future])
        places = {self.seen.terms.place[option] for option in options}
        come = {f.span[0] + 1 for f in self.fits if (f.target.axis, f.target.level) in places}
        gone = {f.span[1] + 1 for f in self.fits if (f.target.axis, f.source) in places}
        return sorted({arrival, end, *(cut for cut in come | gone if arrival < cut < end)})


def _spans(starts: Sequence[int], last: int) -> list[Span]:
    """Spans of periods that begin where work makes a retrofit worth while, the first at 1."""
    if not starts or last < 1:
        return []
    cuts = {1, *(start + later for start in starts for later in FINER)}
    if last <= FEW:
        cuts |= set(range(1, last + 1))
    begins = sorted(cut for cut in cuts if cut <= last)
    return list(zip(begins, [*(b - 1 for b in begins[1:]), last], strict=True))
