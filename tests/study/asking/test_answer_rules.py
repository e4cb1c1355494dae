"""Answers become figures by one table."""

from typing import get_args

import pytest

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.study.asking.answer_rules import RULES, case_after
from optioneer.study.worth.figures import Figure, What, figure_of
from tests.study.unknowns.test_worth_of_knowing import driven, waits


def told(what: What, name: str, answer: str) -> Case:
    return case_after(waits(), Figure(what, name), answer)


def test_every_figure_that_can_be_asked_for_has_a_rule_with_a_source() -> None:
    assert set(RULES) == set(get_args(What))
    assert all(rule.source and rule.form for rule in RULES.values())


@pytest.mark.parametrize(
    ("answer", "likely"),
    [("have", 1.0), ("promised", 0.9), ("quoted", 0.35), ("Dreamt", 0.05), ("4/10", 5 / 12)],
)
def test_a_chance_is_told_by_a_word_or_by_counts(answer: str, likely: float) -> None:
    chance = told("chance", "work", answer).growth.stream[0].chance
    assert isinstance(chance, Triangular)
    assert chance.likely == pytest.approx(likely)


def test_a_chance_is_told_in_percent_alone_or_with_its_range() -> None:
    assert told("chance", "work", "35 %").growth.stream[0].chance == 0.35
    chance = told("chance", "work", "20 35 60").growth.stream[0].chance
    assert chance == Triangular(low=0.2, likely=0.35, high=0.6)


def test_a_margin_is_told_by_limits_that_are_passed_one_time_in_ten() -> None:
    margin = told("margin", "work", "8000 10000 12000").growth.stream[0].margin
    assert margin.likely == 10e3
    assert margin.low == pytest.approx(10e3 - 2e3 / (1 - 0.2**0.5))


@pytest.mark.parametrize(
    ("month", "year"),
    [("1000 a month", "12000"), ("500 1000 2000 80 a month", "6000 12000 24000 80")],
)
def test_a_margin_by_the_month_is_twelve_times_that_and_how_sure_stays(
    month: str, year: str
) -> None:
    monthly, yearly = (
        told("margin", "work", text).growth.stream[0].margin for text in (month, year)
    )
    assert monthly == yearly


@pytest.mark.parametrize(
    ("what", "name", "answer", "figure"),
    [
        ("fallback", "work", "30", 0.3),
        ("years", "work", "2", 2.0),
        ("lasts-years", "work", "2 3 4", 3.0),
        ("multiplier", "probe", "28000", 2.0),  # a probe that lists for 14,000
        ("later-price", "probe", "15000", 15e3),
        ("downtime-days", "probe", "3", 3.0),
        ("kept-years", "", "3", 3.0),
        ("discount-rate", "", "7", 0.07),
        ("horizon", "", "4", 4.0),
    ],
)
def test_other_figures_are_set_as_told(what: What, name: str, answer: str, figure: float) -> None:
    assert figure_of(told(what, name, answer), Figure(what, name)) == pytest.approx(figure)


def test_a_driver_is_told_in_deviations() -> None:
    case = case_after(driven(), Figure("nudge", "growth"), "-1")
    assert case.growth.driver[0].nudge == -1.0


@pytest.mark.parametrize("answer", ["", "many", "1 2", "1,5", "nan", "1e400"])
def test_what_is_not_understood_is_said_in_one_sentence(answer: str) -> None:
    with pytest.raises(RequestError, match="is not understood"):
        told("margin", "work", answer)


def test_a_share_beyond_all_is_refused() -> None:
    with pytest.raises(RequestError):
        told("fallback", "work", "130")
