"""What is asked on the first day: all that the list does not tell, nothing that is quoted."""

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.sources import all_recorded
from optioneer.study.dealer.first_questions import FIGURES, first_questions
from optioneer.study.dealer.wish import WishItem
from tests.oracle.cases import case_of, certain, option, stream


def a_case(*more: Option) -> Case:
    """Nothing told of its work beyond one stream; a standard vise."""
    vise = option("vise", 0.0).model_copy(update={"standard": True})
    options = [vise, option("probe", 9e3, 1.5), option("scales", 5e3), *more]
    return case_of(options, [stream("work", certain(1.0), 5e3, ["probe"])])


def asked(case: Case) -> dict[tuple[str, str], WishItem]:
    first = first_questions(case)[0]
    assert first.topic == "not told"
    return {(one.option, one.unit): one for one in first.asked}


def test_every_option_is_asked_about_and_no_standard_item() -> None:
    assert {name for name, _ in asked(a_case())} == {"probe", "scales"}


def test_what_is_reckoned_with_is_not_told_for_it_is_no_answer_of_the_dealer() -> None:
    assert {one.figure for one in asked(a_case()).values()} == {None}
    usual = all_recorded(a_case(), ["option/probe/multiplier"], source="usual")
    assert asked(usual)["probe", "money"].figure is None


def test_what_he_quoted_stands_in_the_table_and_is_not_asked_again() -> None:
    quoted = all_recorded(a_case(), ["option/probe/multiplier"], source="quoted")
    assert asked(quoted)["probe", "money"].figure == 9e3 * 1.5
    assert asked(quoted)["probe", "days"].figure is None


def test_an_option_of_which_all_is_quoted_is_left_out() -> None:
    keys = [f"option/probe/{field}" for field in FIGURES]
    assert {name for name, _ in asked(all_recorded(a_case(), keys, source="quoted"))} == {"scales"}


def test_what_an_option_is_taken_to_need_is_said_beside_it() -> None:
    cycles = option("cycles", 1e3, 1.2).model_copy(update={"requires": ("probe",)})
    assert asked(a_case(cycles))["cycles", "days"].note == "needs probe"


def test_no_package_and_no_work_is_needed_for_what_is_always_asked() -> None:
    topics = [one.topic for one in first_questions(a_case())]
    assert topics[1:] == ["deletion credit", "lead time", "power and air", "acceptance", "payment"]
