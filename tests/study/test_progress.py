"""How far the work is told to be: it begins near nothing, never goes back and ends with all."""

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from optioneer.model.case import Case
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest, Aim
from optioneer.study.asking.questions import AskRequest, next_questions
from optioneer.study.bargain.bargain import BargainRequest, negotiation
from optioneer.study.compare.compare import ComparisonRequest, comparison
from optioneer.study.problem.effort import Progress
from optioneer.study.problem.futures import with_draws
from optioneer.study.whatif.all_at_once import all_together
from optioneer.study.whatif.one_at_a_time import RangesRequest, one_at_a_time
from optioneer.study.whatif.trials import TogetherRequest, Trials
from optioneer.study.whatif.whatif import TurningRequest, WhatIfRequest, turning, what_if
from optioneer.study.worth.changes import Asked
from optioneer.study.worth.figures import Figure
from tests import shop
from tests.oracle.cases import CASES

CHANGE = Asked(Figure("discount-rate"), 0.12)


def small() -> Case:
    case = shop.case()
    return case.model_copy(update={"growth": case.growth.model_copy(update={"futures": 64})})


def smallest() -> Case:
    """For questions that value it many times over."""
    return with_draws(CASES["blocked"](), 64)


@dataclass(frozen=True)
class Question:
    ask: Callable[[Case, Progress], object]
    parts: int = 2
    of: Callable[[], Case] = small


QUESTIONS: dict[str, Question] = {
    "advise": Question(lambda case, told: advice(AdviceRequest(case), progress=told)),
    "break-even": Question(
        lambda case, told: advice(AdviceRequest(case, break_even=True), progress=told), of=smallest
    ),
    "compare": Question(
        lambda case, told: comparison(
            ComparisonRequest((case, case.model_copy(update={"name": "b"}))), progress=told
        ),
        4,
    ),
    "ask": Question(lambda case, told: next_questions(AskRequest(case), progress=told), 8),
    "bargain": Question(lambda case, told: negotiation(BargainRequest(case), progress=told), 8),
    "against": Question(
        lambda case, told: negotiation(
            BargainRequest(case, against=(case.model_copy(update={"name": "b"}),)), progress=told
        ),
        10,
    ),
    "cautious": Question(lambda case, told: advice(AdviceRequest(case, weight=0.5), progress=told)),
    "precision": Question(
        lambda case, told: advice(AdviceRequest(case, aim=Aim(0.001)), progress=told), 3, smallest
    ),
    "what-if": Question(
        lambda case, told: what_if(WhatIfRequest(case, changes=(CHANGE,)), progress=told), 4
    ),
    "turning": Question(
        lambda case, told: turning(
            TurningRequest(case, figure=CHANGE.figure, values=(0.05, 0.1, 0.15)), progress=told
        ),
        6,
    ),
    "one at a time": Question(
        lambda case, told: one_at_a_time(RangesRequest(case, sample=64), progress=told), 8
    ),
    "all together": Question(
        lambda case, told: all_together(
            TogetherRequest(case, trials=Trials(futures=32, points=64, checked=2)), progress=told
        ),
        8,
        smallest,
    ),
}


@pytest.mark.parametrize("question", QUESTIONS.values(), ids=QUESTIONS)
def test_progress_rises_to_all_of_the_work(question: Question) -> None:
    told: list[float] = []
    question.ask(question.of(), told.append)
    assert told == sorted(set(told)), "it rises, and nothing is told twice"
    assert 0 <= told[0] < 1
    assert told[-1] == pytest.approx(1.0)
    assert len({round(done, 6) for done in told}) >= question.parts
