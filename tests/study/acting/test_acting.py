"""When to order what waits: words that are known exactly, and words against the policy."""

from functools import cache

import numpy as np
import pytest

from optioneer.files.case.demos import demo_folder
from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.reports.asking.acting import acting_page, reminders
from optioneer.reports.page.money import Figures
from optioneer.study.acting import played
from optioneer.study.acting.acting import ActingRequest, acting, acting_on
from optioneer.study.acting.answers import Acting
from optioneer.study.acting.left import left_over
from optioneer.study.advice.package import FreshLook, fresh_look
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.acting.board import Board
from optioneer.valuation.acting.condition import Condition
from optioneer.valuation.acting.search import NEVER, FitRule
from tests.oracle.cases import between, case_of, option, stream

DOLLARS = Figures("USD")


def pays_back(futures: int = 1024, **more: object) -> Case:
    """Work to the horizon that may come any year; money keeps its worth.

    Fitting costs 30,000 and works from the next year on: it pays exactly where what the work leaves
    a year times the years from then on is more.
    """
    gauge = option("gauge", 20e3, 1.5)
    work = stream("bores", between(0.0, 3.0, 9.0), 0.0, ["gauge"], chance=0.4, **more).model_copy(
        update={"margin": between(1e3, 6e3, 15e3)}
    )
    growth = {"horizon_years": 12.0, "discount_rate": 0.0, "futures": futures, "seed": 3}
    return case_of([gauge], [work], growth=growth)


@cache
def looked_at(name: str) -> tuple[Valued, FreshLook]:
    found = valued_case(with_draws(read_case(demo_folder(name)), 256))
    return found, fresh_look(found, best_package(found))


@cache
def told_of(name: str) -> Acting:
    return acting_on(*looked_at(name))


def test_the_exact_rule_is_found_where_margin_times_years_has_to_exceed_the_price() -> None:
    (only,) = acting(ActingRequest(pays_back())).conditions
    assert only.options == ("gauge",)
    assert only.said
    assert only.work == ("bores",)
    assert only.brings == pytest.approx(30e3, rel=0.1)
    assert (only.margin, only.years, only.price, only.after) == (None,) * 4
    assert only.fits == pytest.approx(only.chance, abs=0.02)
    # Nobody does better than the exact rule; near it little is lost.
    assert 0.0 <= only.costs <= 30.0


def test_of_work_with_a_fallback_the_margin_told_is_that_of_the_work_before_tax() -> None:
    """With a quarter kept anyhow three quarters of a margin of 40,000 pay the 30,000."""
    (only,) = acting(ActingRequest(pays_back(fallback=0.25))).conditions
    assert only.adds == (0.75,)
    assert only.brings == pytest.approx(40e3, rel=0.1)


def test_a_rule_that_cannot_be_bettered_by_waiting_is_one_sentence() -> None:
    case = pays_back()
    answer = acting(ActingRequest(case))
    (told,) = reminders(case, answer, DOLLARS)
    assert told.startswith("gauge: when 'bores' is here and will likely leave at least $")
    assert told.endswith("before it ends.")


@pytest.mark.parametrize("condition", [NEVER.condition, Condition(margin=4e3), Condition()])
def test_a_threshold_that_is_not_asked_is_none(condition: Condition | None) -> None:
    found = valued_case(pays_back(futures=64))
    made = acting_on(found, fresh_look(found, best_package(found)))
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(played, "rules_of", lambda board: (FitRule(condition),) * len(board.groups))
        (only,) = acting_on(found, fresh_look(found, best_package(found))).conditions
    assert made.conditions[0].brings
    asked = condition.margin if condition and condition.margin else None
    assert (only.margin, only.years, only.brings, only.price) == (asked, None, None, None)
    assert (only.after, only.fits > 0.0) == (None, condition is not None)


def test_nothing_left_for_a_retrofit_is_said_so() -> None:
    case = case_of([option("built-in", 1e3)], [stream("work", between(0, 1, 2), 9e3, ["built-in"])])
    answer = acting(ActingRequest(with_draws(case, 64)))
    assert answer.conditions == ()
    assert (answer.costs, answer.never_costs) == (0.0, 0.0)
    assert "Nothing is left" in str(acting_page(case, answer, DOLLARS))


@pytest.mark.parametrize("name", ["small-mill", "second-mill"])
def test_words_cost_at_most_a_hundredth_more_than_the_policy_behind_the_advice(name: str) -> None:
    """The full demos: ``tests/bench/test_waiting.py``."""
    answer = told_of(name)
    assert answer.share <= 0.01
    assert answer.costs < answer.never_costs


@pytest.mark.parametrize("name", ["small-mill", "second-mill"])
def test_a_board_played_at_the_dates_of_the_policy_costs_what_the_policy_costs(name: str) -> None:
    """Step by step through the periods there, all periods at once here."""
    found, shown = looked_at(name)
    there, compared = shown.elsewhere, 0
    for left in (one for cluster in range(len(found.costs)) for one in left_over(shown, cluster)):
        journey, options = shown.journeys[left.cluster], [t.option for t in left.part.targets]
        rows = [i for i, target in enumerate(left.whole.targets) if target.option in options]
        view = there.world.view(left.part, there.world.valued, there.world.price)
        board = Board(view, left.start, tuple((i,) for i in range(len(options))))
        played = board.journey(journey.fitted_in[rows])
        never = np.delete(journey.fitted_in, rows, axis=0) == there.problem.timeline.periods
        same = never.all(axis=0)
        np.testing.assert_allclose(played.cost[same], journey.cost[same], rtol=1e-9)
        np.testing.assert_allclose(played.lost[same], journey.lost[same], rtol=1e-9, atol=1e-6)
        np.testing.assert_array_equal(
            played.ended[same], board.states(journey.fitted_in[rows])[-1][same]
        )
        np.testing.assert_allclose(board.cost(journey.fitted_in[rows]), played.cost)
        compared += int(same.sum())
    assert compared >= 256
