"""What was said stays: who said it, and what does not count beside what does."""

from datetime import date

from optioneer.model.case import Case
from optioneer.model.sources import disagreements, figures
from optioneer.study.asking.answer_rules import case_after
from optioneer.study.asking.conversation import (
    answers_given,
    beside,
    figures_by_key,
    key_of,
    told_already,
    with_word,
)
from optioneer.study.worth.figures import Figure
from tests.study.unknowns.test_worth_of_knowing import waits

DAY = date(2027, 3, 1)
CHANCE = Figure("chance", "work")
KEY = key_of(CHANCE)


def said(case: Case, answer: str, who: str) -> Case:
    return with_word(case_after(case, CHANCE, answer), CHANCE, answer, DAY, who=who)


def test_an_answer_says_who_gave_it_and_who_can_where_nobody_is_named() -> None:
    named, blank = said(waits(), "35", "purchasing"), said(waits(), "35", " ")
    assert [one.who for case in (named, blank) for one in answers_given(case)] == [
        "purchasing",
        "customer",
    ]


def test_an_answer_that_does_not_count_stands_beside_the_one_that_does() -> None:
    first = said(waits(), "35", "owner")
    both = beside(first, said(first, "80", "customer"))
    assert figures(both)[KEY] == "0.35"
    assert CHANCE in told_already(both)
    assert [word.value for word in disagreements(both)[KEY]] == ["0.35", "0.8"]


def test_every_key_of_a_figure_leads_back_to_it() -> None:
    found = figures_by_key(waits())
    assert found[KEY] == CHANCE
    assert found["growth/horizon_years"] == Figure("horizon")
