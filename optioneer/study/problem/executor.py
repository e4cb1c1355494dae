"""One stream of work through an executor: threads, processes, or a cluster's workers."""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from contextlib import AbstractContextManager, ExitStack, contextmanager, suppress
from functools import partial
from itertools import islice
from typing import Any, TypeVar

from optioneer.study.problem.cores import by_size
from optioneer.valuation.timing.policy import Mapper

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


@contextmanager
def opened(pool: Pool | None) -> Iterator[Mapper | None]:
    """A ``map`` over the workers of a pool that are there all the while; none without a pool.

    Results come in the order of the errands. An errand that goes wrong ends the work; one whose
    worker dies is begun again.
    """
    if pool is None:
        yield None
        return
    with ExitStack() as open_ones:
        yield _Workers(pool, open_ones).map


@contextmanager
def work_map(far: Mapper | None, size: int) -> Iterator[Mapper]:
    """The ``map`` over workers from `opened`; without any that of this process for such errands.

    Parameters
    ----------
    size
        States x futures of the largest errand.
    """
    if far is not None:
        yield far
        return
    with by_size() as near:
        yield near(size)


class _Workers:
    """The executor of a pool, made when it is needed first and again when its workers have died."""

    def __init__(self, pool: Pool, open_ones: ExitStack) -> None:
        self.pool, self.open_ones = pool, open_ones
        self._executor: Executor | None = None

    def map(self, work: Callable[..., Any], *items: Iterable[Any]) -> Iterator[Any]:
        """See `opened`."""
        begun = False

        @contextmanager
        def lent() -> Iterator[Executor]:
            nonlocal begun
            if begun:  # asked for again: those who were there have died
                self._executor = None
                self.open_ones.close()
            begun = True
            yield self._there()

        return _in_order(work, zip(*items, strict=False), lent)

    def _there(self) -> Executor:
        if self._executor is None:
            self._executor = self.open_ones.enter_context(self.pool())
        return self._executor


def _in_order(
    work: Callable[..., Result], errands: Iterable[tuple[Any, ...]], pool: Pool
) -> Iterator[Result]:
    found, place = dict[int, Result](), 0
    for (number, _), result in streamed(partial(_told, work), enumerate(errands), pool):
        if isinstance(result, BaseException):
            raise result
        found[number] = result
        while place in found:
            yield found.pop(place)
            place += 1


def _told(work: Callable[..., Result], errand: tuple[int, tuple[Any, ...]]) -> Result:
    return work(*errand[1])
