"""One plan that does not fit is left out and said; it keeps the others from nothing."""

import pytest

from optioneer.errors import CaseError
from optioneer.reports.cash.page import cash_page
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.money import Figures
from optioneer.study.advice.package_choice import named_package
from optioneer.study.cash.cash import CashStudy, cash
from optioneer.study.cash.delays import delayed_plans
from tests.cases_as_texts import changed, mill, read

TOO_MUCH = changed(mill(), "paying.toml", r"^balloon = .*", "balloon = 90000.00")


def study(plan: str | None = None) -> CashStudy:
    case = read(TOO_MUCH).case
    return cash(case, named_package(case, "base"), plan=plan)


def test_the_other_plans_are_reckoned() -> None:
    told = study()
    assert "bank" not in {plan.id for plan in told.answer.plans}
    assert told.answer.plans
    (fault,) = told.unfit
    assert "plan 'bank', balloon" in str(fault)


def test_the_page_says_which_is_left_out_and_why() -> None:
    case = read(TOO_MUCH).case
    delays = delayed_plans(case, named_package(case, "base"))
    page = terminal_text(
        cash_page(case, study(), Figures("EUR", "en_US"), delays=delays), width=200
    )
    assert "plans that do not fit" in page.lower()
    assert "90000.00 is more than" in page


def test_asked_for_alone_it_is_refused_in_a_sentence() -> None:
    with pytest.raises(CaseError, match="plan 'bank', balloon"):
        study(plan="bank")
