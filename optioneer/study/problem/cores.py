"""Work spread over all cores, dropped at once when the one who waits for it gives up."""

import ctypes
import os
import sys
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from functools import cache
from threading import Event
from time import monotonic
from typing import Any

from threadpoolctl import ThreadpoolController  # type: ignore[import-untyped]  # no stubs

from optioneer.valuation.timing.policy import Mapper

BEAT = 0.1
"""How often somebody who waits for results is asked whether to go on [s]."""


WORTH_THREADS = 2**19
"""States x futures from which on threads seldom wait for the interpreter's lock; on less they take
longer than one after the other."""

LARGE = 2**25
"""Arrays of more bytes get memory of their own, which is given back with them."""

_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3
"""Numbers of options of the GNU allocator: M_TRIM_THRESHOLD and M_MMAP_THRESHOLD of malloc.h."""

Size = Callable[[int], Mapper]
"""The ``map`` for arrays of so many states x futures."""


_FEWER: list[int] = []
"""Cores that this process may fill, if not all."""


def fill(cores: int) -> None:
    """Fill no more than so many cores from now on: others do the same beside this process."""
    _FEWER[:] = [cores]


def hold_memory() -> None:
    """Keep what arrays have left for those that come, instead of giving it back after each of them.

    For a process that ends with its work, or works out one case after the other: the GNU allocator
    gives memory back to the system, and takes it anew page by page, so often that it is some 3 to
    5 % of a case's time.
    """
    if sys.platform != "linux":
        return
    option = getattr(ctypes.CDLL(None), "mallopt", None)  # of the GNU C library, not of others
    if option is not None:
        option(_MMAP_THRESHOLD, LARGE)
        option(_TRIM_THRESHOLD, 2 * LARGE)


def _cores() -> int | None:
    return _FEWER[0] if _FEWER else os.cpu_count()


class _GivenUpError(Exception):
    """Work that nobody waits for any more."""


@contextmanager
def parallel(beat: Callable[[], None] | None = None) -> Iterator[Mapper]:
    """A ``map`` over all cores: numpy lets threads run side by side.

    Parameters
    ----------
    beat
        Called again and again while results are waited for. It may raise, which like any other
        exception ends the work: what has not begun is dropped, what has begun is waited for.

    Notes
    -----
    Products of matrices are kept from starting threads of their own meanwhile: ours fill the cores,
    and theirs, waiting for work in a loop, would take as much time as all the rest.
    """
    given_up = Event()
    with _algebra().limit(limits=1, user_api="blas"), ThreadPoolExecutor(_cores()) as pool:

        def unless_given_up(work: Callable[..., Any], *arguments: Any) -> Any:
            if given_up.is_set():
                raise _GivenUpError
            return work(*arguments)

        def mapper(work: Callable[..., Any], *items: Iterable[Any]) -> Iterator[Any]:
            each = zip(*items, strict=False)
            return _results([pool.submit(unless_given_up, work, *one) for one in each], beat)

        try:
            yield mapper
        except BaseException:
            given_up.set()
            pool.shutdown(wait=False, cancel_futures=True)
            raise


@contextmanager
def by_size(beat: Callable[[], None] | None = None) -> Iterator[Size]:
    """The ``map`` for each size of work: over all cores where that is worth it, else one by one.

    Parameters
    ----------
    beat
        As for `parallel`.
    """
    with parallel(beat) as threads:
        alone = _one_by_one(beat)
        yield lambda size: threads if size >= WORTH_THREADS else alone


def _one_by_one(beat: Callable[[], None] | None) -> Mapper:
    last = monotonic()

    def mapper(work: Callable[..., Any], *items: Iterable[Any]) -> Iterator[Any]:
        nonlocal last
        for one in zip(*items, strict=False):
            if beat is not None and monotonic() - last > BEAT:
                last = monotonic()
                beat()
            yield work(*one)

    return mapper


@cache
def _algebra() -> ThreadpoolController:
    return ThreadpoolController()


def _results(jobs: list[Future[Any]], beat: Callable[[], None] | None) -> Iterator[Any]:
    """The results in order, none kept once it is handed over."""
    jobs.reverse()
    while jobs:
        job = jobs.pop()
        while beat is not None and not wait([job], timeout=BEAT).done:
            beat()
        yield job.result()
