"""What the advice says, on cases small enough to see through."""

import pytest

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.growth import Way
from optioneer.model.machine import Hours, Package
from optioneer.study.advice.advice import advice, package_value
from optioneer.study.advice.answers import Advice, OptionAnswer
from optioneer.study.advice.request import AdviceRequest, PackageRequest
from tests.oracle import cases
from tests.oracle.cases import between, case_of, certain, option, stream


def of(told: Advice, name: str) -> OptionAnswer:
    return next(answer for answer in told.options if answer.option == name)


def sold_out(case: Case, **growth: object) -> Case:
    return case.model_copy(update={"growth": case.growth.model_copy(update=growth)})


def shop() -> Case:
    """One option for each verdict, and one standard item nobody can leave off."""
    soon, late = between(0.0, 0.1, 0.2), between(1.0, 2.0, 4.0)
    return case_of(
        [
            option("needed", 5e3, 3.0),
            option("later", 20e3, 1.1),
            option("useless", 3e3, 2.0),
            option("built-in", 8e3),
            option("pump", 1e3, standard=True),
        ],
        [
            stream("sure", soon, 20e3, ["needed"]),
            stream("maybe", late, 30e3, ["later"], chance=0.3),
            stream("cast", late, 40e3, ["built-in"], chance=0.9),
        ],
        growth={"horizon_years": 6.0, "periods_per_year": 2, "futures": 2048},
    )


def test_each_verdict_where_it_belongs() -> None:
    told = advice(AdviceRequest(shop()))
    assert {answer.option: answer.verdict for answer in told.options} == {
        "needed": "order now",
        "later": "leave for retrofit",
        "useless": "leave off",
        "built-in": "order now",
        "pump": "order now",
    }
    assert told.advised.options == ("built-in", "needed", "pump")
    assert told.advised.price == 113e3


def test_an_option_left_for_a_retrofit_is_fitted_when_its_work_turns_up() -> None:
    later = of(advice(AdviceRequest(shop())), "later")
    assert later.chance_fitted_later == pytest.approx(0.3, abs=0.01)
    assert later.median_year_fitted == pytest.approx(2.0, abs=0.5)
    assert later.present_cost_fitted_later == pytest.approx(0.3 * 22e3 * 1.1**-2.2, rel=0.03)


def test_ordering_what_nobody_needs_costs_its_price() -> None:
    useless = of(advice(AdviceRequest(shop())), "useless")
    assert (useless.otherwise, useless.otherwise_se) == pytest.approx((3e3, 0.0), abs=1e-6)
    assert not useless.close_call


def test_what_cannot_be_chosen_otherwise_says_so() -> None:
    pump = of(advice(AdviceRequest(shop())), "pump")
    assert (pump.otherwise, pump.otherwise_se, pump.close_call) == (None, None, False)


def test_no_choice_otherwise_is_cheaper_than_the_advice() -> None:
    told = advice(AdviceRequest(shop()))
    assert all(answer.otherwise is None or answer.otherwise >= 0.0 for answer in told.options)
    assert all(package.npc >= told.advised.npc for package in told.packages)


def test_bounds_stand_in_their_order() -> None:
    told = advice(AdviceRequest(shop()))
    for package in (told.advised, *told.packages):
        assert package.hindsight <= package.learned + 1e-6
        outcome = package.outcome
        assert outcome.worst_tenth <= outcome.p10 + 1e-6
        assert outcome.p10 <= outcome.p50 <= outcome.p90
    assert told.information.perfect_information >= 0.0


def test_outcome_and_cost_add_up_to_the_margin_of_all_work() -> None:
    told = advice(AdviceRequest(shop()))
    sums = [p.outcome.mean + p.npc for p in (told.advised, *told.packages)]
    assert sums == pytest.approx([sums[0]] * len(sums), rel=1e-12)
    assert told.pays is not None
    assert told.pays.gain == pytest.approx(
        told.advised.outcome.mean - told.advised.outcome.not_buying
    )


def test_at_the_margins_that_just_pay_buying_and_not_buying_come_to_the_same() -> None:
    # 70,000 a year for two years, half of it kept anyway; the machine costs 100,000 at once.
    work = stream("work", certain(0.0), 70e3, [], fallback=0.5, way=(Way(options=()),))
    growth = {"horizon_years": 2.0, "discount_rate": 0.0, "futures": 16}
    case = case_of([option("useless", 1e3)], [work], growth=growth)
    told = advice(AdviceRequest(case))
    assert told.pays is not None
    assert told.pays.gain == pytest.approx(70e3 - 100e3)
    assert told.pays.worse_share == 1.0
    assert told.pays.at_margins == pytest.approx(100e3 / 70e3)
    richer = work.model_copy(update={"margin": certain(100e3)})
    just = advice(AdviceRequest(case_of([option("useless", 1e3)], [richer], growth=growth)))
    assert just.pays is not None
    assert just.pays.gain == pytest.approx(0.0, abs=1e-6)


def ordinary(hours: float, margin: float, *, attended: float, fallback: float = 0.0) -> Case:
    """Ordinary work for two years on a machine of 100,000 that is worth nothing then."""
    way = (Way(options=()),)
    work = stream("work", certain(0.0), margin, [], hours=hours, fallback=fallback, way=way)
    growth = {"horizon_years": 2.0, "discount_rate": 0.0, "futures": 16}
    case = case_of([option("useless", 1e3)], [work], growth=growth)
    return case.model_copy(update={"hours": Hours(attended=attended)})


def test_it_tells_how_many_hours_a_week_of_ordinary_work_would_just_pay() -> None:
    # An hour brings 40; 1,250 hours a year for two years pay for the machine.
    told = advice(AdviceRequest(ordinary(1000.0, 40e3, attended=2000.0))).pays
    assert told is not None
    assert told.ordinary is not None
    assert told.ordinary.hours_a_week == pytest.approx(1000 / 52)
    assert told.ordinary.at_hours_a_week == pytest.approx(1250 / 52, rel=1e-3)
    assert (told.ordinary.margin_an_hour, told.ordinary.at_margin_an_hour) == pytest.approx(
        (40.0, 50.0), rel=1e-3
    )
    just = advice(AdviceRequest(ordinary(1250.0, 50e3, attended=2000.0))).pays
    assert just is not None
    assert just.gain == pytest.approx(0.0, abs=1e-6)


def test_more_ordinary_work_than_there_are_hours_for_pays_for_nothing() -> None:
    told = advice(AdviceRequest(ordinary(1000.0, 40e3, attended=1200.0))).pays
    assert told is not None
    assert told.ordinary is not None
    assert told.ordinary.at_hours_a_week is None
    assert told.ordinary.at_margin_an_hour == pytest.approx(50.0, rel=1e-3)


def test_what_ordinary_work_leaves_anyway_does_not_pay_for_the_machine() -> None:
    told = advice(AdviceRequest(ordinary(1000.0, 40e3, attended=3000.0, fallback=0.5))).pays
    assert told is not None
    assert told.ordinary is not None
    assert told.ordinary.at_hours_a_week == pytest.approx(2500 / 52, rel=1e-3)
    assert told.ordinary.at_margin_an_hour == pytest.approx(100.0, rel=1e-3)


def test_the_frontier_ends_at_the_advice() -> None:
    told = advice(AdviceRequest(shop()))
    last = told.frontier[-1]
    assert (last.price, last.options) == (told.advised.price, told.advised.options)
    assert last.npc == pytest.approx(told.advised.npc, abs=1e-6)
    assert [point.price for point in told.frontier] == sorted(p.price for p in told.frontier)


def test_a_budget_is_kept_and_spent_well() -> None:
    told = advice(AdviceRequest(shop(), budget=112e3))
    assert told.budget == 112e3
    assert told.advised.options == ("built-in", "pump")
    assert of(told, "needed").otherwise == pytest.approx(
        package_value(PackageRequest(shop(), package="needed")).npc
        - package_value(PackageRequest(shop(), package="built-in")).npc,
        abs=1e-6,
    )


def test_a_budget_equal_to_the_price_is_enough() -> None:
    assert advice(AdviceRequest(shop(), budget=113e3)).advised.price == 113e3


def test_a_budget_below_the_cheapest_package_is_refused() -> None:
    with pytest.raises(RequestError, match=r"--budget 90,000\.00 .* costs 100,000\.00"):
        advice(AdviceRequest(shop(), budget=90e3))


def test_candidates_stand_beside_the_bare_and_the_dearest_package() -> None:
    mine = Package(id="mine", options=("later",))
    told = advice(AdviceRequest(shop().model_copy(update={"packages": (mine,)})))
    assert [package.id for package in told.packages] == ["mine", "base", "all"]
    assert told.packages[1].options == ("pump",)
    assert told.packages[2].price == 136e3


def test_a_package_costs_the_same_when_asked_for_by_itself() -> None:
    told = advice(AdviceRequest(shop()))
    asked = package_value(PackageRequest(shop(), package="needed,built-in"))
    assert asked.model_copy(update={"id": "advised"}) == told.advised


@pytest.mark.parametrize(
    ("options", "without", "said"),
    [
        (["neded"], [], "needed"),
        (["needed"], ["pump"], "delete_credit"),
        (["needed"], ["later"], "not standard"),
        (["Needed"], [], "'Needed' is no id"),
    ],
)
def test_a_package_that_cannot_be_ordered_is_refused_by_name(
    options: list[str], without: list[str], said: str
) -> None:
    with pytest.raises(RequestError, match=said):
        package_value(PackageRequest(shop(), package=",".join(options), without=tuple(without)))


def coin(price: float, seed: int = 7) -> Case:
    """Work that comes in about half of the futures, and an option at a price."""
    work = stream("work", between(0.0, 2.0, 4.0), 1e4, ["coin"], chance=0.5)
    uncertain = work.model_copy(update={"margin": between(2e3, 1e4, 3e4)})
    return case_of([option("coin", price)], [uncertain], growth={"futures": 1024, "seed": seed})


def worth(case: Case) -> float:
    """What the option saves, its price aside."""
    price = case.catalogue.options[0].price
    return (
        advice(AdviceRequest(case)).packages[0].npc
        - package_value(PackageRequest(case, package="coin")).npc
        + price
    )


def test_a_tie_is_too_close_to_call() -> None:
    tied = of(advice(AdviceRequest(coin(worth(coin(1e3))))), "coin")
    assert tied.close_call
    assert tied.otherwise == pytest.approx(0.0, abs=1e-6)


def test_a_difference_whose_interval_holds_nothing_is_too_close_to_call() -> None:
    fair = worth(coin(1e3))
    error = of(advice(AdviceRequest(coin(fair))), "coin").otherwise_se
    assert error is not None
    assert error > 1.0
    assert of(advice(AdviceRequest(coin(fair + 2.1 * error))), "coin").close_call
    assert not of(advice(AdviceRequest(coin(fair + 2.2 * error))), "coin").close_call


def test_one_seed_gives_one_answer() -> None:
    assert advice(AdviceRequest(shop())) == advice(AdviceRequest(shop()))
    assert (
        advice(AdviceRequest(sold_out(shop(), seed=8))).advised.npc
        != advice(AdviceRequest(shop())).advised.npc
    )


@pytest.mark.parametrize("name", cases.CASES)
def test_named_cases_are_valued_as_the_tree_says(name: str) -> None:
    from tests.oracle import exact  # noqa: PLC0415 - heavy, and only this test needs it

    case = sold_out(cases.CASES[name](), futures=4096)
    told = advice(AdviceRequest(case))
    best = min(exact.optimum(case).values())
    error = 3.0 * told.advised.npc_se
    assert told.advised.npc == pytest.approx(best, rel=1e-3, abs=error + 1e-6)
    assert told.advised.hindsight <= told.advised.npc + 1e-6
