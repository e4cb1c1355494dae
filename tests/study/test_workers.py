"""Whoever values: the same answers to the last bit, nothing twice, nothing again after a stop."""

from collections.abc import Callable
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import AbstractContextManager
from pathlib import Path

import pytest

from optioneer.files.cache import Folder
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.asking.questions import AskRequest, next_questions
from optioneer.study.compare.compare import ComparisonRequest, comparison
from optioneer.study.problem.executor import Pool
from optioneer.study.problem.futures import with_draws
from optioneer.study.unknowns.ranges import ranged_figures
from optioneer.study.whatif.all_at_once import all_together
from optioneer.study.whatif.one_at_a_time import RangesRequest, one_at_a_time
from optioneer.study.whatif.trials import TogetherRequest, Trials
from optioneer.study.whatif.whatif import TurningRequest, turning
from optioneer.study.worth.far import problem_and_world
from optioneer.study.worth.figures import Figure
from optioneer.study.worth.revaluation import pieces_of
from optioneer.valuation.cache import swept
from optioneer.valuation.cache.memory import MEMORY, Memory
from optioneer.valuation.timing.cluster import cost_while_learning
from tests.oracle.cases import driven, shared_visit

CASE = with_draws(driven(), 64)
OTHER = with_draws(shared_visit(), 64).model_copy(update={"name": "other"})
TRIALS = Trials(futures=32, points=64, checked=1)
WORK = CASE.growth.stream[0].id

Question = Callable[[Pool | None], object]

QUESTIONS: dict[str, Question] = {
    "sensitivity": lambda pool: one_at_a_time(RangesRequest(CASE, sample=32), pool=pool),
    "global": lambda pool: all_together(
        TogetherRequest(CASE, ranges=ranged_figures(CASE)[:3], trials=TRIALS), pool=pool
    ),
    "turning": lambda pool: turning(
        TurningRequest(CASE, figure=Figure("chance", WORK), values=(0.1, 0.5, 0.9)), pool=pool
    ),
    "break-even": lambda pool: advice(AdviceRequest(CASE, break_even=True), pool=pool),
    "compare": lambda pool: comparison(
        ComparisonRequest((CASE, OTHER), growth=CASE.name), pool=pool
    ),
    "ask": lambda pool: next_questions(AskRequest(CASE), pool=pool),
}


def threads() -> AbstractContextManager[Executor]:
    return ThreadPoolExecutor(3)


def fresh(monkeypatch: pytest.MonkeyPatch, folder: Path | None = None) -> Memory:
    """A process that remembers nothing, but for what a folder keeps."""
    pieces_of.cache_clear()
    problem_and_world.cache_clear()
    MEMORY.forget()
    monkeypatch.setattr(MEMORY, "beyond", None if folder is None else Folder(folder))
    return MEMORY


@pytest.mark.parametrize("question", QUESTIONS.values(), ids=QUESTIONS)
def test_workers_give_the_same_answer_to_the_last_bit(
    question: Question, monkeypatch: pytest.MonkeyPatch
) -> None:
    fresh(monkeypatch)
    here = question(None)
    fresh(monkeypatch)
    assert question(threads) == here


class Valuations:
    """Counts the clusters that are valued under changed figures, and may stop after some."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.count, self.most, learned = 0, 10**9, cost_while_learning

        def counted(*given: object) -> object:
            self.count += 1
            if self.count > self.most:
                raise KeyboardInterrupt
            return learned(*given)  # type: ignore[arg-type]  # as it was asked

        monkeypatch.setattr(swept, "cost_while_learning", counted)


@pytest.mark.parametrize("pool", [None, lambda: ThreadPoolExecutor(1)], ids=["here", "workers"])
def test_after_a_stop_only_what_is_left_is_valued(
    pool: Pool | None, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    question, made = QUESTIONS["sensitivity"], Valuations(monkeypatch)
    fresh(monkeypatch)
    whole = question(None)
    needed, made.count, made.most = made.count, 0, 5
    fresh(monkeypatch, tmp_path)
    with pytest.raises(KeyboardInterrupt):
        question(pool)
    made.count, made.most = 0, 10**9
    fresh(monkeypatch, tmp_path)
    assert question(pool) == whole
    assert made.count == needed - 5 > 0
