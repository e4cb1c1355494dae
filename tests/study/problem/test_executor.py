"""Work through an executor: every errand once, whatever becomes of workers."""

import os
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from optioneer.study.problem.executor import LostError, streamed


def halved(number: int) -> float:
    if number == 13:
        raise ValueError("thirteen")
    return number / 2


def fatal_once(errand: tuple[int, str]) -> int:
    """Errand 3 kills its worker, the first time only."""
    number, mark = errand
    if number == 3 and not Path(mark).exists():
        Path(mark).touch()
        os._exit(9)
    return number


def fatal(number: int) -> int:
    if number == 2:
        os._exit(9)
    return number


def processes() -> AbstractContextManager[Executor]:
    """Workers that are forked from one that has read this file: many die here."""
    context = get_context("forkserver")
    context.set_forkserver_preload([__name__])
    return ProcessPoolExecutor(2, mp_context=context)


def test_every_job_comes_back_once_with_its_result_or_what_went_wrong() -> None:
    found = dict(streamed(halved, range(40), lambda: ThreadPoolExecutor(3)))
    assert found.keys() == set(range(40))
    assert str(found.pop(13)) == "thirteen"
    assert found == {number: number / 2 for number in found}


def test_jobs_of_a_worker_that_dies_are_begun_again(tmp_path: Path) -> None:
    errands = [(number, str(tmp_path / "mark")) for number in range(6)]
    found = list(streamed(fatal_once, errands, processes))
    assert sorted(result for _, result in found) == list(range(6))  # type: ignore[type-var]  # all are whole


def test_a_job_that_kills_every_worker_takes_no_other_with_it() -> None:
    found = dict(streamed(fatal, range(4), processes))
    assert isinstance(found.pop(2), LostError)
    assert found == {0: 0, 1: 1, 3: 3}


def test_jobs_are_handed_over_a_few_at_a_time_and_taken_back_when_nobody_waits() -> None:
    begun = list[int]()

    class Lazy(Executor):
        def submit(self, work: Any, /, *errands: Any, **_: Any) -> Any:
            begun.extend(errands)
            done = Future[float]()
            done.set_result(work(*errands))
            return done

    stream = streamed(halved, range(1000), Lazy)
    next(stream)
    stream.close()  # type: ignore[attr-defined]  # a generator
    assert len(begun) < 20


def test_an_executor_that_is_broken_from_the_start_loses_no_job() -> None:
    class Broken(Executor):
        def submit(self, *_: Any, **__: Any) -> Any:
            raise BrokenProcessPool("gone")

    found = list(streamed(halved, range(3), Broken))
    assert [(errand, type(result)) for errand, result in found] == [
        (n, LostError) for n in range(3)
    ]
