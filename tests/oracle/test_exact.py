"""The exact solver against figures worked by hand, closed forms and enumeration of policies."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from scipy.integrate import quad

from optioneer.model.case import Case
from tests.oracle import cases, exact, machine, paths
from tests.oracle.arrivals import joint
from tests.oracle.cases import between, case_of, certain, option, stream
from tests.oracle.machine import State
from tests.oracle.strategies import small_cases

PROBE = frozenset(["probe"])
NOTHING: State = frozenset()


def margins_of(case: Case) -> list[list[float]]:
    """Certain margins of each stream in each period, as if it were there from the start."""
    years = [t / case.growth.periods_per_year for t in range(case.growth.periods)]
    return [[s.margin.likely * (1 + s.growth) ** t for t in years] for s in case.growth.stream]


def test_work_that_may_be_there_from_the_start() -> None:
    # Arrives in period 0 or never, half and half. Fitted at 1, the probe works in period 2.
    work = stream("work", certain(0.5), 4000.0, ["probe"], chance=0.5)
    growth = {"horizon_years": 3.0, "discount_rate": 0.25}
    case = case_of([option("probe", 1000.0, 2.0)], [work], growth=growth)
    lost = 0.8**0.5 * 4000 + 0.8**1.5 * 4000
    retrofit = 0.8 * 2000
    assert retrofit < 0.8**2.5 * 4000, "it pays to fit it for period 2"
    for found in (exact.optimum(case), exact.hindsight(case)):
        assert found[PROBE] == pytest.approx(100e3 + 1000, rel=1e-14)
        assert found[NOTHING] == pytest.approx(100e3 + 0.5 * (lost + retrofit), rel=1e-14)


def three_periods(chance: float) -> Case:
    """Nothing discounted; F(x) = x^2 / 9: arrival in 0, 1, 2 with 1/9, 3/9, 5/9 of the chance."""
    work = stream("work", between(0.0, 3.0, 3.0), 3000.0, ["probe"], chance=chance)
    growth = {"horizon_years": 3.0, "discount_rate": 0.0}
    return case_of([option("probe", 1000.0, 1.5)], [work], growth=growth)


def test_likely_work_is_fitted_for_before_it_comes() -> None:
    # Not there at 1, it comes in 2 with .5 / .6; 1500 then saves 3000 * 5/6.
    case = three_periods(0.9)
    here, soon, late, never = 0.1 * 7500, 0.3 * 4500, 0.5 * 1500, 0.1 * 1500
    assert exact.optimum(case)[NOTHING] == pytest.approx(100e3 + here + soon + late + never)
    assert exact.hindsight(case)[NOTHING] == pytest.approx(100e3 + here + soon + late)
    assert exact.chance_fitted_later(case, NOTHING) == pytest.approx({"probe": 1.0})


def test_unlikely_work_is_waited_for() -> None:
    # Not there at 1, it comes in 2 with .2 / .84; 1500 then saves 3000 * 5/21: too little.
    case = three_periods(0.36)
    here, soon = 0.04 * 7500, 0.12 * 4500
    assert exact.optimum(case)[NOTHING] == pytest.approx(100e3 + here + soon + 0.2 * 3000)
    assert exact.hindsight(case)[NOTHING] == pytest.approx(100e3 + here + soon + 0.2 * 1500)
    assert exact.chance_fitted_later(case, NOTHING) == pytest.approx({"probe": 0.16})


def test_without_streams_a_package_costs_its_price_and_upkeep_less_resale() -> None:
    probe = option("probe", 1000.0, 2.0, upkeep_per_year=60.0, resale_share=0.5)
    growth = {"horizon_years": 2.0, "periods_per_year": 2, "discount_rate": 0.21}
    case = case_of([probe], [], growth=growth, lead=1.0, resale_share=0.1)
    v = 1 / 1.21
    upkeep = 30 * (v**1.25 + v**1.75 + v**2.25 + v**2.75)
    expected = 100e3 + 1000 + upkeep - v**3 * (10e3 + 500)
    for found in (exact.optimum(case), exact.hindsight(case)):
        assert found[PROBE] == pytest.approx(expected, rel=1e-14)
        assert found[NOTHING] == pytest.approx(100e3 - v**3 * 10e3, rel=1e-14)


def fine_case(multiplier: float) -> Case:
    """Forty periods a year: work of chance 0.6 between years 1 and 8 of 12 that always pays."""
    probe = option("probe", 10e3, multiplier)
    work = stream("work", between(1.0, 2.0, 8.0), 20e3, ["probe"], chance=0.6)
    growth = {"horizon_years": 12.0, "periods_per_year": 40, "discount_rate": 0.08}
    return case_of([probe], [work], growth=growth)


def test_in_fine_periods_the_indifferent_multiplier_is_one_over_the_expected_discount() -> None:
    # A retrofit at the arrival tau costs m c E[v^tau; it comes], an order c: they break even at
    # m = 1 / E[v^tau; it comes], which is 1 + r / lambda for an exponential arrival (derived from
    # the discounted-arrival formula, no source).
    def density(x: float) -> float:
        return 2 * (x - 1) / 7 if x < 2 else 2 * (8 - x) / 42

    whole, _ = quad(lambda x: density(x) * 1.08**-x, 1, 8, points=[2])
    discounted = 0.6 * whole
    case = fine_case(1 / discounted)
    npc = exact.optimum(case)
    # Arrivals are acted on up to a period early, and the margin of that period is lost.
    dt = 1 / 40
    lost = 20e3 * dt * discounted
    assert npc[NOTHING] - lost == pytest.approx(npc[PROBE], abs=10e3 * 0.08 * dt)


def test_in_fine_periods_waiting_costs_the_sum_over_arrival_periods() -> None:
    case = fine_case(1.5)
    at = np.arange(case.growth.periods) / 40
    paid = 15e3 * 1.08**-at + 20e3 / 40 * 1.08 ** -(at + 0.5 / 40)
    expected = 100e3 + float(joint(case)[:-1] @ paid)
    assert exact.optimum(case)[NOTHING] == pytest.approx(expected, rel=1e-12)


def every_future(case: Case) -> list[tuple[tuple[int, ...], float]]:
    """All combinations of arrivals that can happen, with their probabilities."""
    return [(arrival, p) for arrival, p in np.ndenumerate(joint(case)) if p > 0]


@settings(max_examples=10, deadline=None)
@given(small_cases(most_slots=2, most_streams=2))
def test_hindsight_is_the_mean_of_the_cheapest_plans(case: Case) -> None:
    multiplier, margin = machine.certain_multipliers(case), margins_of(case)
    total = dict.fromkeys(machine.states(case), 0.0)
    for arrival, probability in every_future(case):
        plans = paths.cheapest_plans(case, arrival, margin, multiplier)
        total = {state: total[state] + probability * cost for state, cost in plans.items()}
    assert exact.hindsight(case) == pytest.approx(total, rel=1e-10)


@settings(max_examples=10, deadline=None)
@given(small_cases(most_slots=3, most_streams=2))
def test_the_optimum_is_the_mean_cost_of_the_plans_its_policy_makes(case: Case) -> None:
    multiplier, margin = machine.certain_multipliers(case), margins_of(case)
    npc, policy = exact.optimum_and_policy(case)
    best = min(npc, key=lambda state: npc[state])
    total, fitted = 0.0, dict.fromkeys(sorted(o.option for o in case.catalogue.options), 0.0)
    for arrival, probability in every_future(case):
        plan = exact.plan_of(case, policy, arrival, best)
        total += probability * paths.plan_cost(case, arrival, margin, multiplier, best, plan)
        olds = [best, *(state for _, state in plan)]
        for name in frozenset().union(
            *(new - old for old, (_, new) in zip(olds, plan, strict=False))
        ):
            fitted[name] += probability
    assert npc[best] == pytest.approx(total, rel=1e-10)
    assert exact.chance_fitted_later(case, best) == pytest.approx(fitted, abs=1e-10)


def all_policies(case: Case) -> list[dict[tuple[int, int], State]]:
    """Every way to decide at 1 and 2 of three periods, seeing one stream: period, arrival known."""
    seen = [(t, arrival) for t in (1, 2) for arrival in range(t + 2)]
    return [
        dict(zip(seen, chosen, strict=True))
        for chosen in product(machine.states(case), repeat=len(seen))
    ]


def followed(policy: dict[tuple[int, int], State], arrival: int) -> list[tuple[int, State]]:
    """What a policy does in one future."""
    return [(t, policy[t, min(arrival, t + 1)]) for t in (1, 2)]


@settings(max_examples=8, deadline=None)
@given(small_cases(most_slots=1, most_streams=1).filter(lambda c: len(machine.states(c)) <= 2))
def test_the_optimum_is_the_least_over_every_policy_there_is(case: Case) -> None:
    growth = case.growth.model_copy(update={"horizon_years": 3.0, "periods_per_year": 1})
    case = case.model_copy(update={"growth": growth})
    multiplier, margin = machine.certain_multipliers(case), margins_of(case)
    package, costs = machine.states(case)[0], []
    for policy in all_policies(case):
        try:
            costs.append(
                sum(
                    p
                    * paths.plan_cost(
                        case, arrival, margin, multiplier, package, followed(policy, arrival[0])
                    )
                    for arrival, p in every_future(case)
                )
            )
        except ValueError:
            continue
    assert exact.optimum(case)[package] == pytest.approx(min(costs), rel=1e-12)


@settings(max_examples=40, deadline=None)
@given(small_cases())
def test_no_policy_beats_hindsight(case: Case) -> None:
    hindsight, optimum = exact.hindsight(case), exact.optimum(case)
    assert all(optimum[state] >= hindsight[state] - 1e-6 for state in optimum)


@settings(max_examples=15, deadline=None)
@given(small_cases())
def test_with_nothing_uncertain_the_optimum_is_hindsight(case: Case) -> None:
    moment = certain(1.5 / case.growth.periods_per_year)
    sure = [s.model_copy(update={"chance": 1.0, "years": moment}) for s in case.growth.stream]
    growth = case.growth.model_copy(update={"stream": tuple(sure)})
    case = case.model_copy(update={"growth": growth})
    assert exact.optimum(case) == pytest.approx(exact.hindsight(case), rel=1e-12)


@pytest.mark.parametrize("name", sorted(cases.CASES))
def test_no_policy_beats_hindsight_in_the_hand_made_cases(name: str) -> None:
    hindsight, optimum = exact.hindsight(cases.CASES[name]()), exact.optimum(cases.CASES[name]())
    assert all(optimum[state] >= hindsight[state] - 1e-6 for state in optimum)


@pytest.mark.parametrize(
    ("change", "why"), [({"swing": 0.2}, "margin"), ({"margin": between(1.0, 2.0, 3.0)}, "margin")]
)
def test_uncertain_margins_are_refused(change: dict[str, object], why: str) -> None:
    work = stream("work", certain(0.5), 1.0, []).model_copy(update=change)
    with pytest.raises(ValueError, match=why):
        exact.optimum(case_of([], [work]))


def test_uncertain_multipliers_are_refused() -> None:
    probe = option("probe", 1.0, 2.0).model_copy(update={"multiplier": between(1.0, 2.0, 3.0)})
    with pytest.raises(ValueError, match="probe"):
        exact.hindsight(case_of([probe], []))
