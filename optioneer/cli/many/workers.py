"""Who does the work: processes of this machine, or the workers of a cluster."""

import os
import signal
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context

from optioneer.errors import RequestError


@contextmanager
def processes(count: int | None) -> Iterator[Executor]:
    """Processes of this machine, started afresh so that they share nothing with this one."""
    with ProcessPoolExecutor(
        count or os.cpu_count(), mp_context=get_context("spawn"), initializer=_alone
    ) as found:
        yield found


def _alone() -> None:
    """A worker fills one core and leaves Ctrl-C to the process that waits for it."""
    from optioneer.study.problem.cores import fill

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    fill(1)


@contextmanager
def cluster(address: str) -> Iterator[Executor]:
    """Workers of a cluster."""
    try:
        from distributed import Client
    except ImportError as error:
        raise RequestError("--on: install the extra: pip install 'optioneer[cluster]'.") from error
    try:
        client = Client(address, timeout=20)  # type: ignore[no-untyped-call]  # not typed
    except (OSError, ValueError) as error:
        raise RequestError(f"--on: no scheduler answers at {address}: {error}.") from error
    with client:
        yield client.get_executor(retries=3, pure=False)  # type: ignore[no-untyped-call]  # not typed
