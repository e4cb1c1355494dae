"""The programme and packages valued one at a time against lattices that hold every package."""

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.clusters import cluster_terms
from optioneer.valuation.large.doable import view_of
from optioneer.valuation.large.programme import (
    OrderLimits,
    _proven,
    cheapest_order,
    dearest,
    programme,
)
from optioneer.valuation.large.short_list import Appraisal, short_list
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.levels import Levels, Terms
from tests.oracle.cases import CASES, between, case_of, certain, option, stream
from tests.oracle.ending_cases import ending_cases
from tests.oracle.strategies import small_cases
from tests.valuation.engine import Engine, engine
from tests.valuation.timing.test_paths import loose_cases

NEAR = 0.01
"""How far below hindsight the programme may lie, as a share of what hangs on the choice."""


def clusters(case: Case, found: Engine) -> list[tuple[Terms, Lattice, Floats]]:
    """Terms, lattice and hindsight cost of every package by future, by cluster."""
    from optioneer.valuation.timing.sweep import hindsight_cost  # noqa: PLC0415 - beside its only use

    return [
        (
            cluster_terms(case, number),
            lattice,
            hindsight_cost(found.view(lattice)) + lattice.price[:, None],
        )
        for number, lattice in enumerate(found.problem.lattices)
    ]


def levels_of(lattice: Lattice, state: int) -> Levels:
    return tuple(int(level) for level in lattice.levels[:, state])


def exactly(package: Levels) -> OrderLimits:
    fixed = tuple((axis, level, True) for axis, level in enumerate(package))
    return OrderLimits(fixed=fixed, within=1e-7)


def check_bounds(case: Case, near: float = np.inf) -> None:
    """The programme's bound is one, and a close one, on the best package and on any."""
    found = engine(case, lessons=64)
    for terms, lattice, cost in clusters(case, found):
        made = programme(terms, view_of(terms, found.world))
        least = cost.mean(axis=1)
        room = near * max(float(np.ptp(least[np.isfinite(least)])), abs(float(least.min())), 1.0)
        solved = made.solution(OrderLimits(within=1e-7))
        assert least.min() - room - 1e-3 <= solved.bound <= least.min() + 1e-3
        for state in np.flatnonzero(lattice.orderable)[:4]:
            told = made.solution(exactly(levels_of(lattice, int(state))))
            assert least[state] - room - 1e-3 <= told.bound <= least[state] + 1e-3


@given(small_cases())
@settings(max_examples=10, deadline=None)
def test_no_order_costs_less_than_the_bound_on_random_cases(case: Case) -> None:
    check_bounds(case)


@given(loose_cases())
@settings(max_examples=8, deadline=None)
def test_nor_with_doubtful_margins_and_multipliers(case: Case) -> None:
    check_bounds(case)


@given(ending_cases())
@settings(max_examples=10, deadline=None)
def test_nor_where_work_and_machine_may_end_any_time(case: Case) -> None:
    check_bounds(case)
    check_packages(case, exact=False)


@pytest.mark.parametrize("call_out", [None, "default"])
def test_nor_where_resale_alone_pays_for_a_retrofit(call_out: str | None) -> None:
    # Bought later for 9,000 x 1.4 and sold for 0.4 x 40,000: it pays though its work never comes.
    probe = option("probe", 40e3, 1.4, later_price=9e3, resale_share=0.4, call_out=call_out)
    work = stream("work", between(0.0, 0.6, 0.6), 64e3, ["probe"], chance=0.12, fallback=0.4)
    growth = {"horizon_years": 3.0, "discount_rate": 0.0}
    check_bounds(case_of([probe], [work], growth=growth), NEAR)


def test_nor_where_it_pays_for_what_the_retrofit_needs_too() -> None:
    probe = option("probe", 40e3, 1.4, later_price=9e3, resale_share=0.4, requires=("control",))
    growth = {"horizon_years": 3.0, "discount_rate": 0.0}
    check_bounds(case_of([probe, option("control", 2e3, 1.2)], [], growth=growth))


def test_nor_where_it_pays_only_once_something_eases_it() -> None:
    """9,000 x 1.9 is more than 0.4 x 40,000 bring back; 9,000 x 0.5 and 2,000 for the rail less."""
    robot = option(
        "robot", 40e3, 1.9, later_price=9e3, resale_share=0.4, eased_by="rail", eased=certain(0.5)
    )
    growth = {"horizon_years": 3.0, "discount_rate": 0.0}
    check_bounds(case_of([robot, option("rail", 2e3, 1.0)], [], growth=growth))


@pytest.mark.parametrize("name", CASES)
def test_the_bound_is_close_where_one_feature_decides(name: str) -> None:
    check_bounds(CASES[name](), NEAR)


def check_packages(case: Case, *, exact: bool) -> None:
    """One at a time, packages cost what they cost in the lattice of all, or a little more."""
    found = engine(case, lessons=256)
    for terms, lattice, cost in clusters(case, found):
        one = Appraisal(terms, found.world, map)
        for state in np.flatnonzero(lattice.orderable):
            worth = one.worth(levels_of(lattice, int(state)))
            assert (worth.hindsight >= cost[state] - 1e-6).all()
            if exact:
                assert worth.hindsight == pytest.approx(cost[state], abs=1e-6, rel=1e-9)


@given(loose_cases())
@settings(max_examples=8, deadline=None)
def test_a_package_by_itself_never_looks_cheaper_than_among_all(case: Case) -> None:
    check_packages(case, exact=False)


@pytest.mark.parametrize("name", CASES)
def test_where_one_feature_decides_it_costs_the_same(name: str) -> None:
    check_packages(CASES[name](), exact=True)


@given(small_cases())
@settings(max_examples=10, deadline=None)
def test_the_dearest_and_the_cheapest_package(case: Case) -> None:
    problem = problem_of(case)
    for number, lattice in enumerate(problem.lattices):
        terms = cluster_terms(case, number)
        prices = lattice.price[lattice.orderable]
        assert terms.order_price(dearest(terms)) == pytest.approx(prices.max())
        assert terms.order_price(cheapest_order(terms)) == pytest.approx(prices.min())
        states = np.flatnonzero(lattice.orderable)
        some = short_list(terms, [levels_of(lattice, int(state)) for state in states])
        assert some.price == pytest.approx(prices)
        assert some.lost == pytest.approx(lattice.lost[states])


@pytest.mark.parametrize("wanted", [True, False])
@pytest.mark.parametrize("name", ["blocked", "prepared", "bundled"])
def test_a_level_that_must_or_must_not_be_ordered_is_or_is_not(
    name: str,
    wanted: bool,  # noqa: FBT001 - a case of the table
) -> None:
    """Every level of every slot, against every package that can be ordered."""
    case = CASES[name]()
    found = engine(case, lessons=64)
    for terms, lattice, cost in clusters(case, found):
        made, mean = programme(terms, view_of(terms, found.world)), cost.mean(axis=1)
        for axis, level in terms.place.values():
            told = made.solution(OrderLimits(fixed=((axis, level, wanted),), within=1e-7))
            able = lattice.orderable & ((lattice.levels[axis] == level) == wanted)
            assert told.package is not None
            assert (told.package[axis] == level) == wanted
            assert told.bound <= mean[able].min() + 1e-3
            assert terms.keeps(told.package)


def test_what_was_not_solved_to_the_end_proves_nothing() -> None:
    """The solver's answers as SciPy hands them on: without a bound, and stopped by its clock."""
    stopped = SimpleNamespace(mip_dual_bound=None, status=1, fun=7.0)
    assert _proven(stopped) == -np.inf
    assert _proven(SimpleNamespace(**{**vars(stopped), "status": 0})) == 7.0
    assert _proven(SimpleNamespace(**{**vars(stopped), "mip_dual_bound": 5.0})) == 5.0
