"""What knowing more is worth, and what planning on the likeliest future costs."""

from itertools import product

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.growth import Way
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice, Information, Learning
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem.futures import with_draws
from optioneer.study.problem.likeliest import likeliest_case
from optioneer.study.worth.foresight import added_by_budget
from optioneer.study.worth.valued_case import valued_case
from optioneer.valuation.figures.information import whether_and_when
from optioneer.valuation.timing.sweep import hindsight_cost
from tests import shop
from tests.oracle import cases, exact, machine, paths
from tests.oracle.arrivals import joint
from tests.oracle.cases import between, case_of, certain, option, stream
from tests.oracle.machine import State


def about(told: Advice, name: str) -> Learning:
    return next(each for each in told.information.learning if each.id == name)


def two_plants(large: float, small: float, margin: float, **more: float) -> Case:
    """A large and a small plant for one market that is there from the start or never."""
    ways = (Way(options=("large",)), Way(options=("small",), share=more["small_share"]))
    plants = [option("large", large, slot="plant"), option("small", small, slot="plant")]
    market = stream("market", certain(0.0), margin, [], way=ways, chance=more["chance"])
    growth = {"horizon_years": 1.0, "discount_rate": 0.0, "futures": 4096}
    return case_of(plants, [market], growth=growth)


def test_a_published_decision_table_with_even_chances() -> None:
    """Large plant 200,000 or -180,000, small 100,000 or -20,000, nothing 0, even chances.

    Best expected value 40,000 (small); with perfect information 100,000, worth 60,000.
    Source of the table and its expected values: solved exercise no. 8871057 at coursehero.com;
    the value of perfect information follows from them.
    """
    told = advice(AdviceRequest(two_plants(180e3, 20e3, 380e3, small_share=120 / 380, chance=0.5)))
    assert told.advised.options == ("small",)
    nothing = 100e3 + 0.5 * 380e3
    assert nothing - told.advised.npc == pytest.approx(40e3)
    assert told.information.perfect_information == pytest.approx(60e3)
    assert about(told, "market").worth == pytest.approx(60e3)
    # At even chances the likeliest future has the market: the large plant, 30,000 worse.
    assert told.information.likeliest_future_plan == ("large",)
    assert told.information.likeliest_future_plan_costs == pytest.approx(30e3)


def test_the_same_table_when_there_is_money_for_the_small_plant_only() -> None:
    """Small or nothing: knowing the market keeps 100,000 x 0.5, 10,000 more than small alone."""
    case = two_plants(180e3, 20e3, 380e3, small_share=120 / 380, chance=0.5)
    left = case.machine.base_price + 100e3
    told = advice(AdviceRequest(case, budget=left))
    assert told.advised.options == ("small",)
    assert told.information.perfect_information == pytest.approx(10e3)
    rich = advice(AdviceRequest(case, budget=left + 100e3))
    assert rich.information.perfect_information == pytest.approx(60e3)


def test_knowing_everything_within_a_budget_is_the_best_of_all_packages_within_it() -> None:
    found = valued_case(with_draws(shop.case(), 64))
    foresight = [
        np.concatenate([hindsight_cost(view) for view in found.world.views(cost.lattice)], axis=1)
        + cost.lattice.price[:, None]
        for cost in found.costs
    ]
    packages = [
        states
        for states in product(
            *(np.flatnonzero(np.isfinite(price)).tolist() for price in found.prices)
        )
        if all(
            np.isfinite(each[state]).all() for each, state in zip(foresight, states, strict=True)
        )
    ]
    prices = np.array([found.price(states) for states in packages])
    costs = np.array(
        [
            sum(each[state] for each, state in zip(foresight, states, strict=True))
            for states in packages
        ]
    )
    bound = 0
    for budget in np.quantile(prices, (0.0, 0.2, 0.5, 0.8, 1.0)):
        least = costs[prices <= budget].min(axis=0)
        added = added_by_budget(found, float(budget))
        assert added == pytest.approx(least - costs.min(axis=0))
        bound += bool(added.any())
    assert bound >= 3


def test_a_published_decision_table_with_odds_of_two_to_three() -> None:
    """Small 100,000 or -15,000, large 420,000 or -300,000, chances .4 and .6.

    Expected values 31,000 and -12,000; with perfect information 168,000, worth 137,000. Source:
    solved exercise no. 1012421 at homeworksource.com.
    """
    told = advice(AdviceRequest(two_plants(300e3, 15e3, 720e3, small_share=115 / 720, chance=0.4)))
    error = 2e3
    assert told.advised.options == ("small",)
    assert told.information.perfect_information == pytest.approx(137e3, abs=error)
    assert about(told, "market").worth == pytest.approx(137e3, abs=error)
    # The market is unlikely: planning on the likeliest future buys nothing.
    assert told.information.likeliest_future_plan == ()
    assert told.information.likeliest_future_plan_costs == pytest.approx(31e3, abs=error)


def ordered(information: Information) -> State:
    assert information.likeliest_future_plan is not None
    return frozenset(information.likeliest_future_plan)


@pytest.mark.parametrize("name", ["waiting", "prepared", "blocked", "left_off", "bundled"])
def test_planning_on_the_likeliest_future_costs_what_enumeration_says(name: str) -> None:
    case = cases.CASES[name]()
    npc, plans = exact.optimum(case), exact.hindsight(likeliest_case(case))
    told = advice(AdviceRequest(case))
    plan = ordered(told.information)
    assert plans[plan] == pytest.approx(min(plans.values()))
    least = min(npc.values())
    assert told.information.likeliest_future_plan_costs == pytest.approx(
        npc[plan] - least, abs=4 * told.advised.npc_se + 0.002 * least
    )


@pytest.mark.parametrize("name", list(cases.CASES))
def test_one_answer_is_worth_no_more_than_all_of_them(name: str) -> None:
    told = advice(AdviceRequest(cases.CASES[name]())).information
    assert told.likeliest_future_plan_costs is not None
    assert told.likeliest_future_plan_costs >= 0.0
    for each in told.learning:
        assert -3.0 * each.worth_se - 1e-6 <= each.worth
        assert each.worth <= told.perfect_information + 3.0 * each.worth_se + 1e-6


def test_a_stream_that_no_option_serves_is_worth_knowing_only_for_what_it_foretells() -> None:
    assert about(advice(AdviceRequest(cases.driven(loading=0.9))), "first").worth > 100.0
    alone = about(advice(AdviceRequest(cases.driven(loading=0.0))), "first")
    assert abs(alone.worth) <= 3.0 * alone.worth_se + 1e-6


def test_a_budget_binds_the_packages_of_somebody_who_knows_more_too() -> None:
    case = two_plants(180e3, 20e3, 380e3, small_share=120 / 380, chance=0.5)
    told = advice(AdviceRequest(case, budget=150e3))
    # Only the small plant can be paid: knowing saves the 20,000 in half of the futures.
    assert about(told, "market").worth == pytest.approx(10e3)
    assert told.information.likeliest_future_plan == ("small",)


def test_regret_is_counted_over_the_futures_in_which_the_other_choice_is_cheaper() -> None:
    told = advice(AdviceRequest(two_plants(180e3, 20e3, 380e3, small_share=120 / 380, chance=0.5)))
    small = next(answer for answer in told.options if answer.option == "small")
    # The other choice is the large plant (10,000 against 40,000): better by 100,000 when it comes.
    assert small.otherwise == pytest.approx(30e3)
    assert (small.regret_share, small.mean_regret) == pytest.approx((0.5, 50e3))


def test_where_there_is_no_other_choice_there_is_nothing_to_regret() -> None:
    work = stream("work", between(0.5, 1.0, 2.0), 10e3, ["pump"])
    told = advice(AdviceRequest(case_of([option("pump", 1e3, standard=True)], [work])))
    assert (told.options[0].regret_share, told.options[0].mean_regret) == (None, None)


def cost_by_arrival(case: Case) -> dict[State, list[float]]:
    """What each package costs under the best policy in each future of one stream, exactly."""
    _, policy = exact.optimum_and_policy(case)
    (work,), periods = case.growth.stream, case.growth.periods
    years = [t / case.growth.periods_per_year for t in range(periods)]
    margin = [[work.margin.likely * (1 + work.growth) ** y for y in years]]
    multiplier = machine.certain_multipliers(case)
    return {
        state: [
            paths.plan_cost(
                case, (t,), margin, multiplier, state, exact.plan_of(case, policy, (t,), state)
            )
            for t in range(periods + 1)
        ]
        for state in machine.states(case)
    }


@pytest.mark.parametrize("name", ["waiting", "prepared", "left_off", "anticipation"])
def test_knowing_whether_and_when_work_comes_is_worth_what_enumeration_says(name: str) -> None:
    case = cases.CASES[name]()
    costs, chance = cost_by_arrival(case), joint(case)
    arrival = valued_case(case).world.valued.arrival[0].astype(np.intp)
    told = dict(zip(arrival.tolist(), whether_and_when(arrival, len(chance) - 1), strict=True))
    weighed = {state: chance * np.array(cost) for state, cost in costs.items()}
    informed = sum(
        min(sum(cost[t] for t in told if told[t] == answer) for cost in weighed.values())
        for answer in set(told.values())
    )
    worth = min(float(cost.sum()) for cost in weighed.values()) - informed
    (found,) = advice(AdviceRequest(case)).information.learning
    assert found.worth == pytest.approx(worth, abs=4 * found.worth_se + 100.0)
