"""Advice under caution, on cases small enough to enumerate."""

from collections.abc import Callable
from itertools import product

import pytest

from optioneer.arrays import Floats
from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.cautious import Cautious
from optioneer.study.advice.package import fresh_look
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.choice.attitude import Attitude
from optioneer.valuation.figures.summary import worst_mean
from tests.oracle import cases
from tests.oracle.cases import case_of, certain, option, stream
from tests.study.worth.test_site_in_advice import SITE, earning

WEIGHT = 0.6


def gamble(chance: float = 0.7) -> Case:
    """Work of 40,000 that may come, for an option of 20,000, factory-only."""
    work = stream("work", certain(0.0), 40e3, ["built-in"], chance=chance)
    growth = {"horizon_years": 1.0, "discount_rate": 0.0, "futures": 1024}
    return case_of([option("built-in", 20e3), option("useless", 1e3)], [work], growth=growth)


def test_under_caution_no_proof_is_given_for_it_would_be_of_the_average() -> None:
    assert advice(AdviceRequest(gamble(), prove=True)).proof is not None
    assert advice(AdviceRequest(gamble(), prove=True, weight=WEIGHT)).proof is None


def enumerated(found: Valued, weight: float, budget: float) -> float:
    """Least short, ``(1-w) mean + w worst tenth``, of every package within the budget."""
    rated = []
    for package in product(*(range(cost.lattice.size) for cost in found.costs)):
        states = zip(found.costs, package, strict=True)
        able = all(cost.lattice.orderable[state] for cost, state in states)
        if able and found.price(package) <= budget:
            rated.append(weighed(-found.outcome(package), weight))
    return min(rated)


def weighed(short: Floats, weight: float) -> float:
    """``(1-w) mean + w worst tenth`` of what the shop is left short."""
    return float((1 - weight) * short.mean() + weight * worst_mean(short, 0.1))


def of_the_advised(found: Valued, answer: Advice, weight: float) -> tuple[float, float]:
    """The advised package weighed on the futures that chose it, and on those it is told on."""
    states = next(
        package
        for package in product(*(range(cost.lattice.size) for cost in found.costs))
        if found.options(package) == answer.advised.options
    )
    elsewhere = fresh_look(found, states).outcome
    return weighed(-found.outcome(states), weight), weighed(-elsewhere, weight)


def test_caution_leaves_off_what_only_pays_in_good_years() -> None:
    told = advice(AdviceRequest(gamble(), weight=1.0))
    # On average 20,000 against 0.7 x 40,000; in the worst tenth the work does not come at all.
    assert told.advised.options == ()
    assert told.advised.outcome.worst_tenth == -told.advised.price == -100e3
    caution = told.caution
    assert caution is not None
    assert caution.on_average.options == ("built-in",)
    assert caution.on_average.outcome.worst_tenth == -caution.on_average.price == -120e3
    assert [(t.option, t.on_average, t.cautious) for t in caution.turned] == [
        ("built-in", "order now", "leave off")
    ]
    assert caution.costs_on_average == pytest.approx(8e3, abs=200.0)
    assert caution.saves_in_worst_tenth == 20e3
    assert caution.rated == caution.bound == -100e3
    answer = next(each for each in told.options if each.option == "built-in")
    assert answer.otherwise == 20e3
    assert answer.regret_share == pytest.approx(0.7, abs=0.01)


@pytest.mark.parametrize("chance", [0.55, 0.7, 0.89])
def test_whatever_the_chance_below_nine_in_ten_full_caution_stakes_nothing_on_it(
    chance: float,
) -> None:
    assert advice(AdviceRequest(gamble(chance))).advised.options == ("built-in",)
    assert advice(AdviceRequest(gamble(chance), weight=1.0)).advised.options == ()


@pytest.mark.parametrize("make", list(cases.CASES.values()))
def test_the_package_is_the_best_of_all_and_no_other_choice_is_better(
    make: Callable[[], Case],
) -> None:
    told = advice(AdviceRequest(make(), weight=WEIGHT))
    caution = told.caution
    assert caution is not None
    found = valued_case(make())
    chosen, elsewhere = of_the_advised(found, told, WEIGHT)
    assert chosen == pytest.approx(enumerated(found, WEIGHT, float("inf")), abs=0.011)
    assert caution.rated == pytest.approx(-elsewhere)
    assert caution.bound == pytest.approx(caution.rated + caution.gap)
    assert 0.0 <= caution.gap <= 0.011
    assert all(each.otherwise is None or each.otherwise >= -0.02 for each in told.options)
    assert caution.costs_on_average >= -3.0 * caution.costs_on_average_se - 0.02
    apart = told.advised.npc - caution.on_average.npc
    assert caution.costs_on_average == pytest.approx(apart, abs=1e-6)


def test_without_weight_the_advice_is_that_of_the_average() -> None:
    told = advice(AdviceRequest(cases.prepared(), weight=0.0))
    assert told.caution is not None
    assert told.caution.turned == ()
    assert told.caution.saves_in_worst_tenth == 0.0
    plain = advice(AdviceRequest(cases.prepared()))
    assert told.advised == plain.advised
    verdicts = [
        [(o.option, o.verdict, o.close_call) for o in each.options] for each in (told, plain)
    ]
    assert verdicts[0] == verdicts[1]
    for cautious, average in zip(told.options, plain.options, strict=True):
        assert cautious.otherwise == pytest.approx(average.otherwise)
        assert cautious.mean_regret == pytest.approx(average.mean_regret)


def test_a_budget_is_kept_and_the_best_within_it_found() -> None:
    case, budget = gamble(), 105e3
    told = advice(AdviceRequest(case, weight=0.5, budget=budget))
    assert told.advised.price <= budget
    assert told.caution is not None
    found = valued_case(case)
    chosen, elsewhere = of_the_advised(found, told, 0.5)
    assert chosen == pytest.approx(enumerated(found, 0.5, budget), abs=0.011)
    assert told.caution.rated == pytest.approx(-elsewhere)
    with pytest.raises(RequestError, match="is below the cheapest package"):
        advice(AdviceRequest(case, weight=0.5, budget=50e3))


@pytest.mark.parametrize("later", [False, True])
def test_what_the_site_adds_is_weighed_too_and_the_bound_stays_one(later: bool) -> None:  # noqa: FBT001 - a parameter of the test
    site = {**SITE, "plan": {"runs": 100, "reserve_for": ()}}
    found = valued_case(earning(site, later=later, pump=30_000.0, chiller=1_200.0, loader=30_000.0))
    assert found.site.steps
    choice = Cautious(found, Attitude(WEIGHT)).choice
    least = enumerated(found, WEIGHT, float("inf"))
    assert choice.bound <= least + 1e-6
    assert least <= choice.rated + 1e-6
    assert choice.rated == pytest.approx(Attitude(WEIGHT).rating(-found.outcome(choice.states)))
    if not later:  # nothing is bought later, so nothing is left out of the bound
        assert choice.rated - choice.bound <= 0.011


@pytest.mark.parametrize("weight", [-0.1, 1.1, float("nan")])
def test_a_weight_that_is_no_share_is_refused(weight: float) -> None:
    with pytest.raises(RequestError, match="--weight"):
        advice(AdviceRequest(gamble(), weight=weight))
