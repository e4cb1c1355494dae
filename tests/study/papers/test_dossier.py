"""All answers about one case together: the plan in use, payer and payee of each payment."""

from optioneer.study.advice.request import AdviceRequest
from optioneer.study.cash.payments import payments
from optioneer.study.papers.diary import events
from optioneer.study.papers.dossier import dossier
from optioneer.study.problem.futures import with_draws
from tests.paying_cases import BANK, STAGED, case


def test_the_money_is_that_of_the_plan_in_use_and_each_payment_says_from_or_to_whom() -> None:
    tax = {"rate": 0.25, "depreciation": "macrs-7"}
    asked = with_draws(case(STAGED, BANK, use="bank", income_tax=tax), 32)
    money = dossier(AdviceRequest(asked)).money
    assert money is not None
    assert money.chosen == money.ledger.answer.id == "bank"
    assert money.lender is not None
    assert money.lender[1].plan == "bank"
    paid = payments(money.ledger)
    told = [event for event in events(asked, paid) if event.kind == "payment"]
    assert {event.cents for event in told} == {one.cents for one in paid}
    assert any(one.cents > 0 for one in paid)
    for event in told:
        assert event.cents is not None
        assert ("(from " in event.title) == (event.cents > 0)
