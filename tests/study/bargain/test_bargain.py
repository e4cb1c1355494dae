"""The negotiation sheet: worked by hand, and every price asked again on either side."""

import numpy as np
import pytest

from optioneer.errors import RequestError
from optioneer.files.case.demos import demo_folder
from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.study.answer import Verdict
from optioneer.study.bargain.answers import OptionBargain
from optioneer.study.bargain.bargain import BargainRequest, negotiation
from optioneer.study.bargain.turning_price import rising_root, with_option
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.futures import with_draws, world_of
from tests.bargains import turned_as_told
from tests.cases_as_texts import MILL
from tests.oracle.cases import between, case_of, certain, option, stream

LATER = {"fitting": "retrofittable", "multiplier": between(0.5, 1.0, 3.0)}


def of(case: Case, name: str, **more: float) -> OptionBargain:
    told = negotiation(BargainRequest(case, **more))  # type: ignore[arg-type]  # years alone here
    return next(one for one in told.options if one.option == name)


def now_or_never(price: float, **more: float) -> Case:
    """Work of 20,000 in its only year, four chances in ten, for what can only be built in."""
    work = stream("work", certain(0.0), 20e3, ["built-in"], chance=0.4)
    return case_of(
        [option("built-in", price, **more)],
        [work],
        growth={"horizon_years": 1.0, "discount_rate": 0.0},
    )


@pytest.mark.parametrize(("price", "verdict"), [(5e3, "order now"), (9e3, "leave off")])
def test_what_can_only_be_built_in_is_worth_the_chance_times_the_margin(
    price: float, verdict: Verdict
) -> None:
    told = of(now_or_never(price), "built-in")
    assert told.verdict == verdict
    assert told.exact
    assert told.turns_at == pytest.approx(8e3, rel=0.003)


@pytest.mark.parametrize("name", ["work-probe", "automatic-door"])
def test_a_discount_leaves_the_price_of_an_hour_alone(name: str) -> None:
    """Found at what options list for later; the full sheet: ``tests/bench/test_bargains.py``."""
    case = with_draws(read_case(demo_folder("small-mill")), 64)
    cheaper = with_option(case, case.catalogue.by_id[name].priced(1e3))
    here, there = (world_of(one, problem_of(one)).price for one in (case, cheaper))
    assert here is not None
    assert there is not None
    np.testing.assert_array_equal(here, there)


def test_what_comes_back_of_a_price_at_the_end_raises_what_it_is_worth() -> None:
    told = of(now_or_never(5e3, resale_share=0.25), "built-in")
    assert not told.exact
    assert told.turns_at == pytest.approx(8e3 / 0.75, rel=0.003)


def test_what_no_work_needs_is_not_ordered_at_any_price() -> None:
    case = case_of([option("sign", 1e3, upkeep_per_year=10.0)], [])
    told = of(case, "sign")
    assert told.verdict == "leave off"
    assert told.turns_at is None


@pytest.mark.parametrize("credit", [None, 500.0])
def test_a_standard_item_should_be_credited_what_fitting_it_later_costs(
    credit: float | None,
) -> None:
    gun = option("gun", 300.0, 2.0, standard=True, delete_credit=credit)
    work = stream("work", certain(0.0), 1e4, ["gun"])
    growth = {"horizon_years": 3.0, "discount_rate": 0.0}
    told = of(case_of([gun], [work], growth=growth), "gun")
    # Left off it is fitted after a year and works after two: two margins and twice its price.
    assert told.credit_turns_at == pytest.approx(2e4 + 600.0)
    assert told.turns_at is None


def test_a_price_in_writing_saves_what_the_retrofit_would_cost_beyond_it() -> None:
    dear = option("probe", 10e3).model_copy(update=LATER)
    work = stream("work", certain(1.0), 16e3, ["probe"], chance=0.3)
    growth = {"horizon_years": 4.0, "discount_rate": 0.0, "futures": 2048}
    told = of(case_of([dear], [work], growth=growth), "probe")
    # The mean of max(M - 1, 0) for M triangular from 0.5 over 1 to 3 is (3 - 1)^2 / (3 x 2.5).
    assert told.written_price == pytest.approx(10e3)
    assert told.written_worth == pytest.approx(0.3 * 10e3 * 4.0 / 7.5, rel=0.03)


def test_a_price_is_held_no_longer_than_it_is_written() -> None:
    dear = option("probe", 10e3).model_copy(update=LATER)
    work = stream("work", certain(1.0), 16e3, ["probe"], chance=0.3)
    growth = {"horizon_years": 4.0, "discount_rate": 0.0}
    case = case_of([dear], [work], growth=growth)
    assert of(case, "probe", written_years=0.9).written_worth == 0.0
    with pytest.raises(RequestError, match=r"--written-years 0 is not allowed. Use above 0 to 50"):
        of(case, "probe", written_years=0.0)


def test_a_week_is_worth_what_the_machine_earns_in_it() -> None:
    work = stream("work", certain(0.0), 36.5e3, [], way=({"options": ()},))
    case = case_of([option("sign", 1e3)], [work], growth={"discount_rate": 0.0})
    assert negotiation(BargainRequest(case)).week.costs == pytest.approx(700.0, rel=1e-6)


def test_just_above_and_below_each_price_the_verdict_turns_on_the_small_mill() -> None:
    case = with_draws(read_case(MILL), 128).model_copy(update={"hours": None})
    turning = turned_as_told(case)
    assert len(turning) == 11  # all but three standard items


def test_with_the_discount_told_another_quote_is_level() -> None:
    case = now_or_never(5e3)
    dearer = case.model_copy(
        update={
            "name": "other",
            "machine": case.machine.model_copy(update={"base_price": 104e3, "resale_share": 0.0}),
        }
    )
    told = negotiation(BargainRequest(case, against=(dearer,))).quotes[0]
    assert told.discount == pytest.approx(4e3)
    assert told.own_discount is None
    back = negotiation(BargainRequest(dearer, against=(case,))).quotes[0]
    assert back.own_discount == pytest.approx(4e3)


@pytest.mark.parametrize("kink", [1.0, 3.0, 9.0])
def test_a_root_is_found_where_the_curve_kinks(kink: float) -> None:
    def curve(x: float) -> float:
        return min(2.0 * x, x + kink) - 8.0

    found = rising_root(curve, (0.0, curve(0.0)), 2.0, 1e-6)
    assert found == pytest.approx(8.0 - kink if kink <= 4.0 else 4.0)
