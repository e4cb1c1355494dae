"""What a lender sees: cover, security and sources, against sums made by hand."""

from typing import Any

import numpy as np
import pytest

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.reports.cash.account import account_page
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.money import Figures
from optioneer.reports.papers.bank import bank_page
from optioneer.study.account.account import AccountStudy
from optioneer.study.account.answers import BankAnswer
from optioneer.study.account.bands import band
from optioneer.study.account.cover import lenders_view, lent_plan
from optioneer.study.worth.valued_case import Valued
from tests.study.account.test_account import small, told

TAX = {"rate": 0.25, "depreciation": "macrs-7"}


def seen(**facts: Any) -> tuple[Case, Valued, AccountStudy, BankAnswer]:
    asked = small(**facts)
    found, study = told(asked)
    return asked, found, study, lenders_view(found, study, "bank")


def test_cover_is_what_is_left_over_what_is_due() -> None:
    _, _, study, answer = seen(income_tax=TAX)
    plan = next(one for one in study.plans if one.ledger.answer.id == "bank")
    for year in answer.years:
        here = [e for e in plan.ledger.entries if e.date.year == year.year]
        due = -sum(e.cents for e in here if e.kind in {"principal", "interest"})
        rest = sum(e.cents for e in here if e.kind in {"regular", "income-tax"})
        moved = [f for f in plan.flows if f.day.year == year.year and f.kind != "retrofit"]
        left = band(np.sum([np.full(64, rest), *(one.cents for one in moved)], axis=0))
        assert (year.service_cents, year.rest_cents, year.left) == (due, rest, left)
        assert year.p50 == (left.p50 / due if due else None)
    covers = [year.p10 for year in answer.years if year.p10 is not None]
    assert answer.least_p10 == min(covers)


def test_what_is_owed_is_what_is_drawn_less_what_is_paid_back() -> None:
    _, _, _, answer = seen()
    owed = {year.year: year.owed_cents for year in answer.years}
    assert owed[2027] < 280_800_00  # some months of principal
    assert owed[2032] == 0


def test_sources_are_uses() -> None:
    _, _, study, answer = seen()
    assert sum(one.cents if one.source else -one.cents for one in answer.sources) == 0
    own = next(one for one in answer.sources if one.what == "own money")
    assert own.cents == 31_200_00
    staged = lenders_view(told(small())[0], study, "own")
    assert [one.what for one in staged.sources] == ["own money", "dealer"]
    assert staged.least_p10 is None


def test_half_of_the_work_covers_less_and_a_payroll_is_counted_in_months() -> None:
    _, _, study, answer = seen()
    plan = next(one for one in study.plans if one.ledger.answer.id == "bank")
    for year in answer.years:
        assert year.half_cents <= year.left.p50
    days, lowest = plan.balances.days, plan.balances.cents
    within = [k for k, day in enumerate(days) if day.year == 2028]
    rows = lowest[within[0] - 1 : within[-1] + 1].min(axis=0)
    (months,) = (one for one in answer.payrolls if one.year == 2028)
    assert months.p50 == band(rows).p50 / 20_000_00


def test_the_pages_say_it() -> None:
    asked, _, study, answer = seen(income_tax=TAX)
    figures = Figures("USD")
    page = terminal_text(bank_page(asked, study, answer, figures), width=120)
    for words in (
        "COVER OF WHAT IS DUE",
        "WHAT SECURES IT",
        "WHAT THE DEALER ASKS FOR",
        "signature",
    ):
        assert words in page
    assert "MONTHS OF PAYROLL IN HAND" in page
    account = terminal_text(account_page(study.answer, "Mill", figures), width=120)
    assert "WHAT THE MACHINE EARNS" in account
    assert "Expected, not contracted" in " ".join(account.split())


def test_a_plan_that_is_not_there_is_one_sentence() -> None:
    asked, _, study, _ = seen()
    with pytest.raises(RequestError, match="no plan 'banc'"):
        lent_plan(asked, study, "banc")
    assert lent_plan(asked, study, None) == study.study.answer.cheapest
