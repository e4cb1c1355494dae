"""Request, money page, calendar and record speak of the same terms of the quote."""

from datetime import date
from typing import Any

from optioneer.model.case import Case
from optioneer.reports.cash.page import cash_page
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.money import Figures
from optioneer.reports.papers.request import request_page
from optioneer.study.cash.cash import cash
from optioneer.study.dealer.questions import questions
from optioneer.study.papers.diary import due_days
from optioneer.study.record.decide import plan_to_compare
from tests.paying_cases import BANK, BARE, STAGED, case

DEALER = {
    "stages": STAGED["stages"],
    "quoted": date(2027, 1, 11),
    "valid_until": date(2027, 2, 28),
    "freeze": "order + 30 days",
    "delivery_term": "to our door, unloaded by us",
}
FIGURES = Figures("USD")


def quoted(**facts: Any) -> Case:
    return case(BANK, dealer=DEALER, account={"opening": 100_000.0}, **facts)


def test_the_money_says_what_the_dealer_asks_for_and_what_is_missing_when() -> None:
    asked = quoted()
    page = terminal_text(cash_page(asked, cash(asked, BARE), FIGURES), width=200)
    said = page.replace("\n", " ")
    assert "WHAT THE DEALER ASKS FOR" in said
    assert "2027-05-03   $124,800     40%   order + 90 days" in said
    assert "The quote holds until 2027-02-28." in said
    assert "The order can be changed until 2027-03-03." in said
    assert "Delivery: to our door, unloaded by us." in said
    assert (
        "'bank': $180,800 are missing on 2027-06-21; what is due is not covered from "
        "2027-05-03 to 2027-07-18." in said
    )


def test_without_terms_nothing_is_said_of_them() -> None:
    plain = case(STAGED, account={"opening": 400_000.0})
    said = terminal_text(cash_page(plain, cash(plain, BARE), FIGURES), width=200)
    assert "WHAT THE DEALER ASKS FOR" not in said
    assert "NOT COVERED" not in said


def test_the_request_asks_to_confirm_them() -> None:
    asked = quoted()
    page = request_page(asked, BARE, questions(asked, BARE), FIGURES)
    said = " ".join(terminal_text(page, width=200).split())
    assert "confirm that it holds until 2027-02-28" in said
    assert "we take it: until 2027-03-03" in said
    assert "is the price with delivery 'to our door, unloaded by us'" in said
    assert "Please confirm the stages of payment" in said


def test_the_calendar_has_the_days_of_the_quote_and_of_the_stages() -> None:
    days = {event.title: event.day for event in due_days(quoted(), BARE)}
    assert days["Last day on which the quote holds"] == date(2027, 2, 28)
    assert days["Last day to change what is ordered"] == date(2027, 3, 3)
    assert days["stage 3 of 4, shipped (to dealer)"] == date(2027, 6, 21)


def test_the_record_keeps_them() -> None:
    asked = quoted()
    sealed = plan_to_compare(asked, BARE, ())
    assert asked.paying is not None
    assert sealed.dealer == asked.paying.dealer
    assert type(sealed).model_validate_json(sealed.model_dump_json()) == sealed
