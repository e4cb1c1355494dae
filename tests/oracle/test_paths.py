"""One future: plans worked by hand, and the cheapest of all plans."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optioneer.model.case import Case
from tests.oracle import cases, machine, paths
from tests.oracle.cases import case_of, certain, option, stream
from tests.oracle.strategies import small_cases

PROBE = frozenset(["probe"])
NOTHING: frozenset[str] = frozenset()


def full_case() -> Case:
    """Three half years, half a year after the order, at 25 % a year."""
    probe = option(
        "probe",
        1000.0,
        2.0,
        call_out="default",
        downtime_days=2.0,
        upkeep_per_year=80.0,
        resale_share=0.3,
    )
    work = stream("work", certain(0.2), 5000.0, ["probe"], lasts_years=1.0, fallback=0.1)
    growth = {
        "horizon_years": 1.5,
        "periods_per_year": 2,
        "discount_rate": 0.25,
        "retrofit_inflation": 0.1,
    }
    return case_of(
        [probe],
        [work],
        growth=growth,
        call_outs={"default": 150.0},
        lead=0.5,
        margin_per_day=200.0,
        resale_share=0.2,
    )


def test_the_cost_of_a_plan_is_the_sum_of_its_flows() -> None:
    case, v = full_case(), 0.8
    margin = [[5000.0, 6000.0, 7000.0]]
    found = paths.plan_cost(case, [0], margin, {"probe": (2.0, 2.0)}, NOTHING, [(1, PROBE)])
    # The work lasts two half years: periods 0 and 1. What is fitted in 1 works, and costs upkeep,
    # in period 2, when the work is over.
    lost = v**0.75 * 0.5 * 5000 * 0.9 + v**1.25 * 0.5 * 6000 * 0.9
    retrofit = v**1.0 * ((2000 + 150) * 1.1**1.0 + 2 * 200)
    upkeep = v**1.75 * 0.5 * 80
    back = v**2.0 * (0.2 * 100e3 + 0.3 * 1000)
    assert found == pytest.approx(100e3 + lost + retrofit + upkeep - back, rel=1e-14)


def test_the_cheapest_plan_leaves_alone_what_comes_too_late_to_pay() -> None:
    case = full_case()
    margin = [[5000.0, 6000.0, 7000.0]]
    multiplier = machine.certain_multipliers(case)
    cheapest = paths.cheapest_plan(case, [0], margin, multiplier, NOTHING)
    left_alone = paths.plan_cost(case, [0], margin, multiplier, NOTHING, [])
    fitted = paths.plan_cost(case, [0], margin, multiplier, NOTHING, [(1, PROBE)])
    assert cheapest == pytest.approx(left_alone, rel=1e-14)
    assert left_alone < fitted


@pytest.mark.parametrize(
    ("plan", "why"),
    [
        ([(0, PROBE)], "period 0"),
        ([(3, PROBE)], "period 3"),
        ([(1, PROBE), (1, PROBE)], "after one in period 1"),
        ([(1, PROBE), (2, NOTHING)], "cannot become"),
    ],
)
def test_a_plan_that_cannot_be_carried_out_is_refused(
    plan: list[tuple[int, frozenset[str]]], why: str
) -> None:
    case = full_case()
    margin = [[5000.0] * 3]
    with pytest.raises(ValueError, match=why):
        paths.plan_cost(case, [0], margin, {"probe": (2.0, 2.0)}, NOTHING, plan)


def test_a_package_that_cannot_be_ordered_is_refused() -> None:
    case = cases.prepared()
    both = frozenset(["robot-prepared", "robot-complete"])
    with pytest.raises(ValueError, match="cannot be ordered"):
        paths.plan_cost(case, [1], [[0.0] * 7], {}, both, [])


def all_plans(case: Case, package: frozenset[str]) -> list[list[tuple[int, frozenset[str]]]]:
    """Every plan from a package, legal or not, as the states after each period's moves."""
    moments = range(1, case.growth.periods)
    found = []
    for after in product(machine.states(case), repeat=len(moments)):
        steps = zip(moments, (package, *after[:-1]), after, strict=True)
        found.append([(moment, new) for moment, old, new in steps if new != old])
    return found


@settings(max_examples=15, deadline=None)
@given(small_cases(most_slots=2, most_streams=2), st.data())
def test_the_cheapest_plan_is_the_least_of_all_plans(case: Case, data: st.DataObject) -> None:
    growth = case.growth.model_copy(update={"horizon_years": 3.0, "periods_per_year": 1})
    case = case.model_copy(update={"growth": growth})
    arrival = [data.draw(st.integers(0, 3)) for _ in growth.stream]
    swinging = st.lists(st.sampled_from([0.0, 5e3, 20e3, 90e3]), min_size=3, max_size=3)
    margin = np.array([data.draw(swinging) for _ in growth.stream])
    multiplier = machine.certain_multipliers(case)
    package = data.draw(st.sampled_from(machine.states(case)))
    costs = []
    for plan in all_plans(case, package):
        try:
            costs.append(paths.plan_cost(case, arrival, margin, multiplier, package, plan))
        except ValueError:
            continue
    cheapest = paths.cheapest_plan(case, arrival, margin, multiplier, package)
    assert cheapest == pytest.approx(min(costs), rel=1e-12)
