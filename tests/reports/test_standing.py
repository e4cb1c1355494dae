"""What is said of what verdicts hang on, and why it is not said where it is not."""

from optioneer.reports.advice.certainty import why_not_told
from tests import shop


def bare(**more: object) -> str:
    """Said of an advice that tells nothing of what its verdicts hang on."""
    told = shop.advice()
    options = tuple(each.model_copy(update={"hangs_on": None}) for each in told.options)
    return why_not_told(told.model_copy(update={"options": options, **more}))


def test_within_a_budget_it_is_said_why_no_figure_is_named() -> None:
    assert bare(budget=2e5).startswith("Which figures a verdict hangs on is not told within a")


def test_without_one_nothing_is_excused() -> None:
    assert bare(budget=None, caution=None, from_account=None) == ""


def test_where_figures_are_named_nothing_is_excused() -> None:
    told = shop.advice()
    options = tuple(each.model_copy(update={"hangs_on": ()}) for each in told.options)
    assert why_not_told(told.model_copy(update={"options": options, "budget": 2e5})) == ""
