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
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from optioneer.valuation.lattice import Bools
from optioneer.valuation.listed import margins
from optioneer.valuation.terms import Levels, Terms
from optioneer.valuation.timeline import Floats
from optioneer.valuation.view import View

FINER = (0, 1, 5, 13)
"""Periods after the last start before work arrives at which spans begin: short ones first."""

UNIT = 1000.0
"""Money in the objective of the solver."""

WHOLE = 0.5
"""A level counts as chosen from here on."""

_INFEASIBLE = 2

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
        HiGHS through SciPy (branch and cut).
        """
        integrality = np.zeros(len(self.objective))
        integrality[: self.orders] = 1
        found: Any = milp(
            self.objective / UNIT,
            integrality=integrality,
            bounds=self._bounds(asked),
            constraints=self._rows(asked),
            options={"time_limit": max(asked.seconds, 0.05), "mip_rel_gap": asked.within},
        )
        if found.status == _INFEASIBLE:
            return Solution(None, np.inf, np.inf)
        bound = -np.inf if found.mip_dual_bound is None else float(found.mip_dual_bound)
        package = None if found.x is None else self._package(found.x)
        value = np.inf if package is None else float(found.fun) * UNIT + self.constant
        return Solution(package, bound * UNIT + self.constant, value)

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
        return tuple(int(np.argmax(x[a:b])) for a, b in zip(edges[:-1], edges[1:], strict=True))


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
    seen = _Seen(terms, view)
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
    def ordered(self) -> dict[int, int]:
        """Column of ordering each option."""
        first = _first_columns(self.terms)
        return {o: first[axis] + level for o, (axis, level) in self.terms.place.items()}

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
            for option in bundle.options:
                self.row([column], [self.ordered[option]])

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
class _Seen:
    """What n futures bring, as arrays."""

    terms: Terms
    view: View

    @property
    def last(self) -> int:
        """Last period in which a retrofit can still be of use."""
        return self.view.timeline.periods - 2

    @cached_property
    def left(self) -> Floats:
        """Discounted margin from each period on, shape (T + 1, K, n) [money]."""
        flows = margins(self.view)
        sums = np.cumsum(flows[::-1], axis=0)[::-1]
        return np.concatenate([sums, np.zeros((1, *sums.shape[1:]))])

    @property
    def constant(self) -> float:
        """What is lost without any way, on average [money]."""
        lost = 1.0 - np.array(self.terms.fallback)
        return float((lost @ self.left[0]).mean()) if len(lost) else 0.0

    @cached_property
    def _charges(self) -> list[Any]:
        return [self.view.charges(t) for t in range(self.view.timeline.periods)]

    @cached_property
    def plain(self) -> Floats:
        """What a retrofit costs for good if made in each period, shape (targets, T, n) [money]."""
        charge = np.array([charges.plain for charges in self._charges])
        return charge.transpose(1, 0, 2) + self._kept[:, :, None]

    @cached_property
    def eased(self) -> tuple[Floats | None, ...]:
        """The same once eased, shape (T, n), none where nothing eases it."""
        return tuple(
            None
            if target.easing is None
            else np.array([charges.eased[i] for charges in self._charges]) + self._kept[i][:, None]
            for i, target in enumerate(self.terms.targets)
        )

    @cached_property
    def _kept(self) -> Floats:
        """Upkeep from the next period on less resale, beyond the best of what it may replace."""
        timeline, terms = self.view.timeline, self.terms
        annuity, end = timeline.annuity[1:], timeline.at_start[-1]
        rows = []
        for target in terms.targets:
            own = [
                upkeep * annuity - resale * end
                for upkeep, resale in zip(
                    terms.upkeep[target.axis], terms.resale[target.axis], strict=True
                )
            ]
            others = [row for level, row in enumerate(own) if level != target.level]
            relief = np.max(others, axis=0) if others else np.zeros(len(annuity))
            rows.append(own[target.level] - relief)
        return np.array(rows).reshape(len(terms.targets), timeline.periods)

    @cached_property
    def visits(self) -> Floats:
        """Call-out charges, shape (visits, T) [money]."""
        return np.array([charges.visits for charges in self._charges]).T

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
        links = [*self.terms.requires, *self._easings]
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

    @cached_property
    def saves(self) -> dict[int, Floats]:
        """What an option saves at most by easing others, shape (n,) [money]."""
        found: dict[int, Floats] = {}
        for eased, easing in self._easings:
            i = self.terms.target_of[eased]
            cheaper = self.eased[i]
            if cheaper is not None:
                most = np.maximum(self.plain[i] - cheaper, 0.0).max(axis=0)
                found[easing] = found.get(easing, 0.0) + most
        return found

    @cached_property
    def final(self) -> frozenset[int]:
        """Options that stay once fitted: no other retrofit goes into their slot."""
        axes = [target.axis for target in self.terms.targets]
        return frozenset(o for o, (axis, _) in self.terms.place.items() if axes.count(axis) <= 1)


@dataclass(frozen=True)
class _Fit:
    """A retrofit in a span: its column, and where it comes from."""

    target: int
    span: Span
    column: int


@dataclass
class _Future:
    """The second stage of one future on its way into the programme."""

    made: _Columns
    seen: _Seen
    future: int
    fits: dict[int, list[_Fit]] = field(default_factory=dict)

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
                self._fits(i, target.option)
            self._easing_rows()
            self._rule_rows()
            for visit in range(len(self.seen.terms.visits)):
                self._visit(visit)
        for row in np.flatnonzero(self.present):
            self._work(int(row))

    def _fits(self, i: int, option: int) -> None:
        """Columns of one retrofit, a span each, where it can pay."""
        rows = [row for row in self.seen.serves[option] if self.present[row]]
        starts = [max(int(self.seen.view.arrival[row, self.future]) - 1, 1) for row in rows]
        eased = self.seen.eased[i]
        for span in _spans(starts, self.seen.last):
            part = slice(span[0], span[1] + 1)
            most = self._most(option, rows, span[0] + 1)
            for charge in (self.seen.plain[i], eased):
                cost = np.inf if charge is None else float(charge[part, self.future].min())
                if cost < most:
                    column = self.made.column(self.weight * cost)
                    self.fits.setdefault(option, []).append(_Fit(i, span, column))
                    if charge is eased:
                        self._needs_easing(i, span, column)

    def _most(self, option: int, rows: Sequence[int], period: int) -> float:
        """Most that an option can bring from a period on [money]."""
        gains = self.seen.gains
        brings = sum(gains[row][1] * self.seen.left[period, row, self.future] for row in rows)
        saves = self.seen.saves.get(option)
        return float(brings) + (0.0 if saves is None else float(saves[self.future]))

    @cached_property
    def _eased(self) -> list[tuple[int, Span, int]]:
        return []

    def _needs_easing(self, i: int, span: Span, column: int) -> None:
        """Note that a column takes what eases it for granted."""
        self._eased.append((i, span, column))

    def _easing_rows(self) -> None:
        """What is fitted at an eased price needs what eases it by then."""
        for i, span, column in self._eased:
            easing = self.seen.terms.targets[i].easing
            if easing is not None:
                option = self.seen.terms.fitted[easing.axis][easing.level]
                self.made.row([column], self._owned(option, span[1]))

    def _owned(self, option: int, date: int) -> list[int]:
        """Columns that say whether an option is there once the moves of a date are made."""
        fitted = [fit.column for fit in self.fits.get(option, ()) if fit.span[0] <= date]
        return [self.made.ordered[option], *fitted]

    def _rule_rows(self) -> None:
        terms, final = self.seen.terms, self.seen.final
        for one, other in terms.requires:
            for fit in self.fits.get(one, ()):
                self.made.row([fit.column], self._owned(other, fit.span[1]))
        for one, other in terms.excludes:
            if {one, other} <= final and (one in self.fits or other in self.fits):
                last = self.seen.last
                self.made.row([*self._owned(one, last), *self._owned(other, last)], (), 1.0)

    def _visit(self, visit: int) -> None:
        """Call-outs, by the spans between all starts of retrofits that need them."""
        targets, charge = self.seen.terms.targets, self.seen.visits[visit]
        fits = [f for own in self.fits.values() for f in own if targets[f.target].visit == visit]
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
        arrival = int(self.seen.view.arrival[row, self.future])
        end = int(self.seen.view.end[row, self.future])
        uses = (f.span[0] + 1 for w in ways for o in w.options for f in self.fits.get(o, ()))
        cuts = sorted({arrival, *(use for use in uses if arrival < use < end)})
        for start, stop in zip(cuts, [*cuts[1:], end], strict=True):
            worth = self.weight * float(left[start] - left[stop])
            done = []
            for way in ways:
                column = self.made.column(-(way.share - terms.fallback[row]) * worth)
                for option in way.options:
                    self.made.row([column], self._owned(option, start - 1))
                done.append(column)
            if len(done) > 1 or (done and not ways[0].options):
                self.made.row(done, (), 1.0)


def _spans(starts: Sequence[int], last: int) -> list[Span]:
    """Spans of periods that begin where work makes a retrofit worth while, the first at 1."""
    if not starts or last < 1:
        return []
    cuts = {1, *(start + later for start in starts for later in FINER)}
    begins = sorted(cut for cut in cuts if cut <= last)
    return list(zip(begins, [*(b - 1 for b in begins[1:]), last], strict=True))
