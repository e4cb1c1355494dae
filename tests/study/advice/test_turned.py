"""Whether the way of paying turns a verdict."""

import pytest

from optioneer.model.case import Case
from optioneer.reports.advice.attitude import way_of_paying
from optioneer.reports.page.money import Figures
from optioneer.study.advice.advice import advice, package_value
from optioneer.study.advice.request import AdviceRequest, PackageRequest
from optioneer.study.advice.verdicts import advice_on
from optioneer.study.cash.financing import order_factor, retrofit_factors, used_factor
from optioneer.study.cash.plans import counting_on
from optioneer.study.worth.valued_case import valued_case
from tests import shop
from tests.paying_cases import BANK, STAGED, case

LATE = {"id": "late", "kind": "staged", "stages": ({"share": 1.0, "when": "2040-02-01"},)}
DOLLARS = Figures("USD")


def few(made: Case) -> Case:
    return made.model_copy(update={"growth": made.growth.model_copy(update={"futures": 256})})


def test_a_case_that_uses_no_plan_pays_all_at_the_order() -> None:
    made = few(case(STAGED))
    assert used_factor(made) == 1.0
    assert advice(AdviceRequest(made)) == advice(
        AdviceRequest(made.model_copy(update={"paying": None}))
    )
    assert way_of_paying(made, shop.advice(), DOLLARS, factor=1.0, at_once=None) == ()


def test_the_plan_that_the_case_uses_is_counted_on() -> None:
    made = few(case(STAGED, use="staged"))
    factor = order_factor(made, "staged")
    assert factor < 1
    at_once = counting_on(made, None)
    by_hand = valued_case(at_once, order_factor=factor)
    assert advice(AdviceRequest(made)) == advice_on(by_hand)
    assert advice(AdviceRequest(at_once, plan="staged")) == advice_on(by_hand)
    assert advice(AdviceRequest(made).at_the_order) == advice_on(valued_case(at_once))


def test_a_package_costs_less_by_what_its_plan_saves() -> None:
    made = few(case(STAGED))
    with_plan = package_value(PackageRequest(counting_on(made, "staged")))
    saved = package_value(PackageRequest(made)).npc - with_plan.npc
    assert abs(saved - 312_000 * (1 - order_factor(made, "staged"))) < 1e-6


def test_paying_thirteen_years_later_orders_what_was_left_for_a_retrofit() -> None:
    made = counting_on(few(case(LATE, BANK)), "late")
    told, at_once = advice(AdviceRequest(made)), advice(AdviceRequest(counting_on(made, None)))
    (part,) = way_of_paying(made, told, DOLLARS, factor=used_factor(made), at_once=at_once)
    assert ": order now, instead of leave" in str(part)


def test_retrofits_that_the_loan_pays_too_cost_less_by_what_lending_saves() -> None:
    lent = {**BANK, "retrofits": "loan"}
    made = counting_on(few(case(lent)), "bank")
    # lent at what the shop borrows at, nothing is saved
    assert list(retrofit_factors(made)) in ([], pytest.approx([1.0] * 41, abs=1e-12))
    paying = made.paying
    assert paying is not None
    dear = paying.model_copy(
        update={"account": paying.account.model_copy(update={"borrows_at": 0.09})}
    )
    # by hand: 60 level instalments at 7.25 % / 12, worth less at 9 % / 12 a month
    level = (0.0725 / 12) / (1 - (1 + 0.0725 / 12) ** -60)
    worth = sum(level * (1 + 0.09 / 12) ** -k for k in range(1, 61))
    factors = retrofit_factors(made.model_copy(update={"paying": dear}))
    assert factors == pytest.approx([worth] * (made.growth.periods + 1), abs=1e-12)
    assert retrofit_factors(counting_on(few(case(BANK)), "bank")) == ()


def test_the_same_advice_turns_nothing() -> None:
    made = case(STAGED, use="staged")
    (part,) = way_of_paying(made, shop.advice(), DOLLARS, factor=0.9, at_once=shop.advice())
    assert "No verdict would be another" in str(part)
