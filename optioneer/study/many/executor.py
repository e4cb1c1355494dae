"""One stream of work through an executor: threads, processes, or a cluster's workers."""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from contextlib import AbstractContextManager, suppress
from itertools import islice
from typing import Any, TypeVar

_Errand = TypeVar("_Errand")
Result = TypeVar("Result")

Pool = Callable[[], AbstractContextManager[Executor]]
"""Makes an executor, again where its workers have died."""

AHEAD = 8
"""Errands that wait at the workers' doors: enough that none is idle, few to take back."""

TRIES = 3
"""Times that a errand is begun whose worker dies."""


class LostError(Exception):
    """The workers died again and again while a errand was with them."""


def streamed(
    work: Callable[[_Errand], Result], errands: Iterable[_Errand], pool: Pool
) -> Iterator[tuple[_Errand, Result | Exception]]:
    """Each errand with its result, or with what went wrong, as they are done.

    Parameters
    ----------
    work
        What is done with each; where workers are other processes a function of a module.
    errands
        In any number: they are handed over a few at a time.
    pool
        Makes the executor.

    Notes
    -----
    Where workers die, the errands that were with them are begun again by others, one at a time, so
    that a errand that kills its worker takes no other with it.
    """
    left, lost = iter(errands), list[_Errand]()
    while True:
        yield from _until_broken(work, left, pool, lost)
        if not lost:
            return
        for errand in lost:
            yield errand, _alone(work, errand, pool)
        lost.clear()


def _until_broken(
    work: Callable[[_Errand], Result], errands: Iterator[_Errand], pool: Pool, lost: list[_Errand]
) -> Iterator[tuple[_Errand, Result | Exception]]:
    """The same until the workers die; the errands that were with them are told in `lost`."""
    with pool() as executor:
        given: dict[Future[Any], _Errand] = {}
        try:
            while True:
                for errand in islice(errands, max(AHEAD - len(given), 0)):
                    lost.append(errand)  # until it is with a worker
                    future = executor.submit(work, errand)
                    given[future] = lost.pop()
                if not given:
                    return
                done, _ = wait(given, return_when=FIRST_COMPLETED)
                broken = any(isinstance(each.exception(), BrokenExecutor) for each in done)
                if broken:
                    lost += given.values()
                    return
                for each in done:
                    yield given.pop(each), _result(each)
        except BrokenExecutor:  # nothing can be handed over any more
            lost += given.values()
        except BaseException:
            executor.shutdown(wait=False, cancel_futures=True)
            raise


def _alone(work: Callable[[_Errand], Result], errand: _Errand, pool: Pool) -> Result | Exception:
    for _ in range(TRIES - 1):
        with suppress(BrokenExecutor), pool() as executor:
            future = executor.submit(work, errand)
            if not isinstance(future.exception(), BrokenExecutor):
                found: Result | Exception = _result(future)
                return found
    return LostError("its worker died each time; there may be too little memory")


def _result(done: Future[Any]) -> Any:
    """The result, or what went wrong."""
    wrong = done.exception()
    return done.result() if wrong is None else wrong
