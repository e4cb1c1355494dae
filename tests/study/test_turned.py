"""Whether the way of paying turns a verdict."""

from optioneer.model.case import Case
from optioneer.reports.money import Figures
from optioneer.reports.turned import turned_parts
from optioneer.study.advise import advice
from optioneer.study.cash import order_factor
from optioneer.study.turned import advice_under, turned_verdicts
from tests import shop
from tests.paying_cases import BANK, STAGED, case

LATE = {
    "id": "late",
    "kind": "staged",
    "stages": ({"share": 1.0, "when": "2040-02-01"},),
}


def few(made: Case) -> Case:
    return made.model_copy(update={"growth": made.growth.model_copy(update={"futures": 256})})


def test_without_a_plan_everything_is_paid_at_the_order() -> None:
    made = few(case(STAGED))
    under = advice_under(made)
    assert (under.plan, under.factor, under.turned) == (None, 1.0, {})
    assert under.advice == advice(made)
    assert turned_parts(made, under, Figures("USD")) == ()


def test_the_plan_that_the_case_uses_is_counted_on() -> None:
    made = few(case(STAGED, use="staged"))
    under = advice_under(made)
    assert under.factor == order_factor(made, "staged")
    assert under.advice == advice(made, order_factor=under.factor)


def test_paying_thirteen_years_later_orders_what_was_left_for_a_retrofit() -> None:
    made = few(case(LATE, BANK))
    under = advice_under(made, "late")
    now = {answer.option: answer.verdict for answer in under.advice.options}
    assert under.turned
    assert all(now[option] != verdict for option, verdict in under.turned.items())
    assert any(now[option] == "order now" for option in under.turned)
    (part,) = turned_parts(made, under, Figures("USD"))
    assert "instead of" in str(part)


def test_the_same_advice_turns_nothing() -> None:
    assert turned_verdicts(shop.advice(), shop.advice()) == {}
