"""Work spread over all cores, dropped at once when the one who waits for it gives up."""

import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from functools import cache
from threading import Event
from typing import Any

from threadpoolctl import ThreadpoolController  # type: ignore[import-untyped]  # no stubs

from optioneer.valuation.policy import Mapper

BEAT = 0.1
"""How often somebody who waits for results is asked whether to go on [s]."""


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
    with _algebra().limit(limits=1, user_api="blas"), ThreadPoolExecutor(os.cpu_count()) as pool:

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
