"""What is believed of a figure is what the case tells, else as wide as such figures are off."""

from optioneer.study.asking.answer_rules import case_after
from optioneer.study.asking.beliefs import Belief, belief
from optioneer.study.worth.figures import Figure
from tests.study.unknowns.test_worth_of_knowing import waits


def test_three_figures_are_believed_as_they_are_told() -> None:
    case = case_after(waits(), Figure("chance", "work"), "20 35 60")
    assert belief(case, Figure("chance", "work")) == Belief(0.2, 0.35, 0.6, told=True)


def test_one_figure_is_believed_to_be_as_far_off_as_is_usual() -> None:
    found = belief(case_after(waits(), Figure("chance", "work"), "35"), Figure("chance", "work"))
    assert found == Belief(0.25, 0.35, 0.45, told=False)


def test_a_retrofit_multiplier_is_a_price() -> None:
    case = case_after(waits(), Figure("multiplier", "probe"), "28000")  # it lists for 14,000
    found = belief(case, Figure("multiplier", "probe"))
    assert (found.likely, found.told) == (28e3, True)
