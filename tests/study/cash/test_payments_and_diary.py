"""Payments as a diary tells them: nothing lost, a lender's money told apart, series in one line."""

from functools import cache

from optioneer.model.case import Case
from optioneer.study.advice.package_choice import named_package
from optioneer.study.cash.cash import PlanLedger, cash
from optioneer.study.cash.payments import payments, series
from optioneer.study.papers.diary import due_days
from tests.reports.papers import demo_case


@cache
def ledgers() -> dict[str, PlanLedger]:
    case = demo_case()
    study = cash(case, named_package(case, "base"))
    return {ledger.answer.id: ledger for ledger in study.ledgers}


def test_every_cent_of_the_purchase_is_in_the_payments() -> None:
    assert len(ledgers()) > 1
    for plan, ledger in ledgers().items():
        entries = [entry.cents for entry in ledger.answer.entries if entry.kind != "regular"]
        paid = payments(ledger)
        assert sum(one.cents for one in paid) == sum(entries), plan
        told_in_series = [one for line in series(paid) for one in line.payments]
        assert sorted(told_in_series, key=repr) == sorted(paid, key=repr), plan


def test_what_the_lender_pays_is_no_money_of_the_shop() -> None:
    drawn = [one for one in payments(ledgers()["bank"]) if one.lent]
    assert [one.cents for one in drawn] == [0]
    assert drawn[0].lent > 0
    assert drawn[0].kind == "contract"


def test_interest_and_principal_of_a_day_are_one_instalment() -> None:
    instalments = [one for one in payments(ledgers()["bank"]) if one.kind == "instalment"]
    assert len({one.date for one in instalments}) == len(instalments)
    (line,) = [line for line in series(instalments) if line.what == "instalment"]
    assert len(line.payments) == len(instalments)


def test_a_case_without_paying_and_site_still_has_its_milestones() -> None:
    bare: Case = demo_case().model_copy(update={"paying": None, "site": None})
    days = due_days(bare, named_package(bare, "base"))
    assert [event.kind for event in days] == ["milestone"] * 5
    assert days[0].title == "Order the machine"
    assert days[-1].title == "First chips"
