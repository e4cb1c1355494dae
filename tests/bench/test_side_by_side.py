"""The lattice beside a naive simulation and a mixed-integer programme, in one run, equal results.

Not part of an ordinary run::

    OPENBLAS_NUM_THREADS=1 python -m pytest -n0 -s tests/bench/test_side_by_side.py

One invented case is valued three ways: every package at once on the lattice; one package after the
other, lived through forward in NumPy over all futures; and as the extensive form of the two-stage
programme, order now and retrofits with the future known, which HiGHS solves to the end. Seconds are
those of processors.
"""

import sys
import time
from collections.abc import Callable
from typing import NamedTuple

import highspy
import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.futures import world_of
from optioneer.valuation.cache.swept import costs_after_order
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.cluster import World, journey_of_state
from optioneer.valuation.timing.sweep import hindsight_cost, policy_costs
from tests.bench.test_growth import Size, case

SIZE = Size(options=6, streams=4, futures=2048, periods=40)
SOLVED_ON = 16
"""Futures of the extensive form: HiGHS takes minutes on a few more."""

MONEY = 0.01


def timed(work: Callable[[], object]) -> float:
    """Processor seconds of some work."""
    start = time.process_time()
    work()
    return time.process_time() - start


@pytest.fixture(scope="module")
def world() -> World:
    """The futures of the case."""
    made = case(SIZE)
    return world_of(made, problem_of(made))


@pytest.fixture(scope="module")
def lattice() -> Lattice:
    """Its one cluster."""
    (found,) = problem_of(case(SIZE)).lattices
    assert not found.upkeep.any()
    assert not found.resale.any()
    return found


def told(what: str, seconds: float, updates: float) -> None:
    each = 1e9 * seconds / updates
    sys.stdout.write(f"\n{what:46s}{seconds:8.3f} s {each:12.1f} ns a package, future and period")


def test_every_package_at_once_and_one_after_the_other(world: World, lattice: Lattice) -> None:
    found = costs_after_order(world, lattice, map)
    cost, views = found.with_prices_of(lattice), world.views(lattice)
    updates = float(lattice.size * world.valued.count * world.timeline.periods)
    at_once = timed(lambda: [policy_costs(view, [found.policy]) for view in views])
    forward = list[Floats]()
    one_by_one = timed(
        lambda: forward.extend(
            journey_of_state(world, cost, state, map).cost for state in range(lattice.size)
        )
    )
    assert np.abs(np.array(forward) - found.learned).max() < MONEY
    told("learned, every package at once", at_once, updates)
    told("learned, one package after the other", one_by_one, updates)


class Row(NamedTuple):
    """One row of a programme: least, most, columns and weights."""

    low: float
    high: float
    columns: list[int]
    weights: list[float]


class Extensive:
    """The extensive form, built row by row; every variable lies between 0 and 1.

    Parameters
    ----------
    lattice, view
        The cluster and the futures; slots have two levels, nothing eases anything.
    """

    def __init__(self, lattice: Lattice, view: View) -> None:
        self.lattice, self.view = lattice, view
        self.costs, self.whole, self.rows = list[float](), list[int](), list[Row]()
        self.constant, prices = 0.0, lattice.price
        shape = lattice.shape
        bare = [int(np.ravel_multi_index(np.eye(len(shape), dtype=int)[i], shape)) for i in
                range(len(shape))]  # fmt: skip
        self.ordered = [self.column(prices[one] - prices[0], whole=True) for one in bare]
        self.constant += prices[0]
        for future in range(view.futures.count):
            self.lived(future)

    def column(self, cost: float, *, whole: bool = False) -> int:
        self.costs.append(cost)
        self.whole.extend([len(self.costs) - 1] * whole)
        return len(self.costs) - 1

    def lived(self, future: int) -> None:
        """What is fitted when, and which way does each stream, in one future."""
        lattice, count = self.lattice, self.view.futures.count
        periods = range(self.view.timeline.periods)
        charges = self.view.charges(periods)
        moments = [t * count + future for t in periods]
        fitted: list[list[int]] = [[] for _ in self.ordered]
        for t in periods[1:]:
            visit = np.broadcast_to(charges.visits[0], len(periods) * count)[moments[t]]
            called = self.column(float(visit) / count, whole=True)
            for i, target in enumerate(lattice.targets):
                price = float(charges.plain[i][moments[t]]) / count
                made = self.column(price, whole=True)
                fitted[target.axis].append(made)
                self.rows.append(Row(-np.inf, 0.0, [made, called], [1.0, -1.0]))
        for axis, once in enumerate(fitted):
            together = [self.ordered[axis], *once]
            self.rows.append(Row(-np.inf, 1.0, together, [1.0] * len(together)))
        self.worked(future, fitted)

    def worked(self, future: int, fitted: list[list[int]]) -> None:
        """Margin lost unless a way does the work; what is fitted in t works from t + 1 on."""
        view, count = self.view, self.view.futures.count
        periods = range(view.timeline.periods)
        known = view.known_level(periods)
        margin = view.expected_margin(known, periods).reshape(len(known), len(periods), count)
        for k, stream in enumerate(case(SIZE).growth.stream):
            for t in periods:
                worth = float(margin[k, t, future]) / count
                self.constant += worth
                if worth > 0.0:
                    self.done(t, worth, [(way.options, way.share) for way in stream.way], fitted)

    def done(
        self,
        t: int,
        worth: float,
        ways: list[tuple[tuple[str, ...], float]],
        fitted: list[list[int]],
    ) -> None:
        used = [self.column(-worth * share) for _, share in ways]
        self.rows.append(Row(-np.inf, 1.0, used, [1.0] * len(used)))
        for column, (needs, _) in zip(used, ways, strict=True):
            for need in needs:
                axis = self.lattice.names.index(need)
                owned = [self.ordered[axis], *fitted[axis][: max(t - 1, 0)]]
                columns, weights = [column, *owned], [1.0, *[-1.0] * len(owned)]
                self.rows.append(Row(-np.inf, 0.0, columns, weights))

    def least(self) -> float:
        """The least cost, proven."""
        solver = highspy.Highs()  # type: ignore[no-untyped-call]  # no stubs
        solver.setOptionValue("output_flag", False)
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("threads", 1)
        for cost in self.costs:
            solver.addCol(cost, 0.0, 1.0, 0, [], [])
        for column in self.whole:
            solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        for row in self.rows:
            solver.addRow(row.low, row.high, len(row.columns), row.columns, row.weights)
        solver.run()
        assert solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        return float(solver.getInfo().objective_function_value) + self.constant


def test_the_best_order_with_the_future_known_is_that_of_the_programme(
    world: World, lattice: Lattice
) -> None:
    few = world.valued.block(0, SOLVED_ON)
    view = world.view(lattice, few)
    updates = float(lattice.size * few.count * world.timeline.periods)
    found, least = list[float](), list[float]()

    def swept_once() -> None:
        found.append(float((hindsight_cost(view).mean(axis=1) + lattice.price).min()))

    at_once = timed(swept_once)
    programme = Extensive(lattice, view)
    solved = timed(lambda: least.append(programme.least()))
    assert abs(found[0] - least[0]) < MONEY
    told("hindsight, every package at once", at_once, updates)
    told(f"hindsight, HiGHS on {len(programme.costs):,} columns", solved, updates)
    sys.stdout.write("\n")
