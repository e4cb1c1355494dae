"""A cluster as a mixed-integer programme: the order now, retrofits with the future known.

A two-stage stochastic programme, by sample average approximation. First stage: one level a slot.
Second stage, for each of some futures: in which span of periods each retrofit is made, which way
does each work stream when. Only the order is integer; spans take the least charge and the earliest
use that lie in them. Every simplification makes the programme cheaper, never dearer, than what it
stands for, so that its bound is a bound on hindsight, and hindsight is one on what anybody can
reach.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.large.coefficients import Seen
from optioneer.valuation.large.columns import Matrix, first_columns, price_row
from optioneer.valuation.large.second_stage import SecondStage
from optioneer.valuation.lattice.levels import Levels, Terms
from optioneer.valuation.lattice.view import View

if TYPE_CHECKING:  # slow to import, and few cases need a programme
    from scipy.sparse import csr_array

UNIT = 1000.0
"""Money in the objective of the solver."""

_OPTIMAL, _INFEASIBLE = 0, 2


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
class OrderLimits:
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
    matrix: "csr_array"
    upper: Floats
    equal: int
    most: Floats

    @property
    def orders(self) -> int:
        """Number of columns that stand for levels ordered."""
        return sum(map(len, self.terms.fitted))

    def solution(self, asked: OrderLimits) -> Solution:
        """The order that costs least, or the best that can be found in time.

        Notes
        -----
        HiGHS through SciPy: first the linear relaxation, so that there is a bound early, then
        branch and cut.
        """
        relaxed = self._solver_answer(asked, whole=0)
        if relaxed.status == _INFEASIBLE:
            return Solution(None, np.inf, np.inf)
        found = self._solver_answer(asked, whole=self.orders)
        bound = max(_proven(relaxed), _proven(found))
        package = None if found.x is None else self._package(found.x)
        value = np.inf if package is None else float(found.fun) * UNIT + self.constant
        return Solution(package, bound * UNIT + self.constant, value)

    def _solver_answer(self, asked: OrderLimits, *, whole: int) -> Any:
        """What the solver says when so many of the first columns must be whole."""
        from scipy.optimize import Bounds, milp  # noqa: PLC0415 - slow, and few cases need a programme

        integrality = np.zeros(len(self.objective), dtype=np.intp)
        integrality[:whole] = 1
        return milp(
            self.objective / UNIT,
            integrality=integrality,
            bounds=Bounds(*self._bounds(asked)),
            constraints=self._rows(asked),
            options={"time_limit": max(asked.seconds, 0.05), "mip_rel_gap": asked.within},
        )

    def _bounds(self, asked: OrderLimits) -> "tuple[Floats, Floats]":
        """Lower and upper bounds of the columns."""
        low, high = np.zeros(len(self.objective)), self.most.copy()
        first = first_columns(self.terms)
        for axis, level, wanted in asked.fixed:
            low[first[axis] + level] = float(wanted)
            high[first[axis] + level] = float(wanted)
        return low, high

    def _rows(self, asked: OrderLimits) -> "list[tuple[Any, Any, Any]]":
        """Matrix, lower and upper bounds of each set of rows."""
        lower = np.full(len(self.upper), -np.inf)
        lower[: self.equal] = self.upper[: self.equal]
        rows: list[tuple[Any, Any, Any]] = [(self.matrix, lower, self.upper)]
        if asked.room is not None:
            price = price_row(self.terms, len(self.objective))
            rows.append((price[None, :], -np.inf, asked.room + 1e-6))
        return rows

    def _package(self, x: Floats) -> Levels:
        edges = np.cumsum([0, *map(len, self.terms.fitted)])
        return tuple(int(np.argmax(x[a:b])) for a, b in pairwise(edges))


def programme(terms: Terms, view: View) -> Programme:
    """The programme of a cluster on the futures of a view.

    Parameters
    ----------
    view
        Futures as the cluster meets them.
    """
    made = Matrix(terms)
    made.orders(view)
    seen = Seen(terms, view)
    for future in range(view.futures.count):
        SecondStage(made, seen, future).add()
    return _programme_of(made, seen.constant)


def dearest(terms: Terms) -> Levels:
    """The package with the highest price."""
    return _by_price(terms, -1.0)


def cheapest_order(terms: Terms) -> Levels:
    """The package with the lowest price."""
    return _by_price(terms, 1.0)


def _by_price(terms: Terms, sign: float) -> Levels:
    made = Matrix(terms)
    made.rules()
    made.objective = list(sign * price_row(terms, len(made.objective)))
    found = _programme_of(made, 0.0).solution(OrderLimits(within=0.0)).package
    if found is None:
        raise RuntimeError("A cluster without any package that can be ordered.")
    return found


def _proven(found: Any) -> float:
    """Lower bound that the solver has proven, minus infinity if none."""
    if found.mip_dual_bound is not None:
        return float(found.mip_dual_bound)
    return float(found.fun) if found.status == _OPTIMAL else -np.inf


def _programme_of(columns: Matrix, constant: float) -> Programme:
    """What has been added, as a programme."""
    terms = columns.terms
    most = np.ones(len(columns.objective))
    first = first_columns(terms)
    most[[first[axis] + level for axis, level in terms.barred]] = 0.0
    return Programme(
        terms=terms,
        objective=np.array(columns.objective),
        constant=constant,
        matrix=columns.matrix,
        upper=np.array(columns.upper),
        equal=len(terms.fitted),
        most=most,
    )
