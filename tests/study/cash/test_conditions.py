"""Other terms of a way of paying: what is tried is the case with that one thing other."""

import pytest

from optioneer.cli.shell import case_in
from optioneer.errors import RequestError
from optioneer.files.case.demos import demo_folders
from optioneer.model.case import Case
from optioneer.model.paying import LoanPlan
from optioneer.study.cash.conditions import Conditions, case_under
from optioneer.study.cash.plans import paying_of, plan_of


@pytest.fixture(scope="module")
def case() -> Case:
    return case_in(next(each for each in demo_folders() if each.name == "small-mill"))


def test_nothing_other_is_the_case_itself(case: Case) -> None:
    assert case_under(case, "bank", Conditions()) == case


def test_only_the_terms_named_of_the_way_named_change(case: Case) -> None:
    under = case_under(case, "bank", Conditions(opening=7.0, deposit=0.5, months=24, rate=0.09))
    bank, before = plan_of(under, "bank"), plan_of(case, "bank")
    assert isinstance(bank, LoanPlan)
    assert (bank.deposit, bank.months, bank.rate) == (0.5, 24, 0.09)
    back = {name: getattr(before, name) for name in ("deposit", "months", "rate")}
    assert bank.model_copy(update=back) == before
    assert plan_of(under, "staged") == plan_of(case, "staged")
    assert paying_of(under).account.opening == 7.0


def test_a_term_that_a_way_does_not_have_is_refused(case: Case) -> None:
    with pytest.raises(RequestError, match=r"staged.* has no rate"):
        case_under(case, "staged", Conditions(rate=0.05))


def test_all_terms_that_a_way_does_not_have_are_named_in_one_order(case: Case) -> None:
    with pytest.raises(RequestError, match="has no months and no rate"):
        case_under(case, "staged", Conditions(rate=0.05, months=12))


def test_terms_that_do_not_go_together_are_refused_with_the_reason(case: Case) -> None:
    with pytest.raises(RequestError, match="'bank' cannot be had so"):
        case_under(case, "bank", Conditions(deposit=1.5))
