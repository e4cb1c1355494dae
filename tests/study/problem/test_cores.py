"""Work over all cores ends when whoever waits for it gives up."""

import resource
import threading
from threading import Event

import numpy as np
import pytest
from threadpoolctl import threadpool_info  # type: ignore[import-untyped]  # it has no stubs

from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem.cores import hold_memory, parallel
from tests import shop


class EnoughError(Exception):
    """What a face raises once the user has moved on."""


def test_results_come_in_the_order_of_the_items() -> None:
    with parallel() as run:
        assert list(run(pow, [2, 3, 4], [5, 2, 1])) == [32, 9, 4]


def test_what_has_not_begun_is_dropped_when_somebody_gives_up() -> None:
    go, done = Event(), list[int]()

    def work(item: int) -> None:
        go.wait(10)
        done.append(item)

    def beat() -> None:
        go.set()
        raise EnoughError

    with pytest.raises(EnoughError), parallel(beat) as run:
        list(run(work, range(1000)))
    assert len(done) < 1000
    assert not [t for t in threading.enumerate() if "ThreadPool" in t.name], "all threads ended"


def test_an_exception_from_inside_comes_out() -> None:
    with pytest.raises(ZeroDivisionError), parallel() as run, parallel() as within:
        list(run(lambda x: list(within(lambda y: 1 / y, [x])), [1, 0, 2]))


def test_an_advice_is_stopped_by_the_progress_that_is_told_of_it() -> None:
    told = []

    def progress(done: float) -> None:
        told.append(done)
        raise EnoughError

    with pytest.raises(EnoughError):
        advice(AdviceRequest(shop.case()), progress=progress)
    assert len(told) == 1
    assert not [t for t in threading.enumerate() if "ThreadPool" in t.name], "all threads ended"


def test_matrix_products_start_no_threads_of_their_own_meanwhile() -> None:
    with parallel() as run:
        (found,) = run(lambda _: threadpool_info(), [0])
    assert {each["num_threads"] for each in found if each["user_api"] == "blas"} == {1}


def test_memory_that_is_held_is_not_taken_from_the_system_anew() -> None:
    """Six arrays of 8 MB, again and again: 12,000 pages a round where each is given back."""

    def pages() -> int:
        before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
        for _ in range(4):
            _ = [np.ones(2**20) for _ in range(6)]
        return resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before

    hold_memory()
    pages()
    assert pages() < 10_000
