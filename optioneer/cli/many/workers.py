"""Who does the work: processes of this machine, or the workers of a cluster."""

import os
import signal
from collections.abc import Iterator, Mapping
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from functools import partial
from multiprocessing import active_children, get_context
from typing import TYPE_CHECKING, Annotated, Protocol

import typer

from optioneer.errors import RequestError

if TYPE_CHECKING:
    from optioneer.study.problem.executor import Pool

Count = Annotated[
    int | None,
    typer.Option(
        "--workers",
        metavar="N",
        min=1,
        help="Processes of this machine that do the work; default: one, on all cores.",
    ),
]

Address = Annotated[
    str | None,
    typer.Option("--on", metavar="ADDRESS", help="Scheduler of a cluster (dask.distributed)."),
]


def pool_of(count: int | None, address: str | None) -> "Pool | None":
    """Who values what a question asks; none: this process.

    Parameters
    ----------
    count
        Processes of this machine, if any.
    address
        Of the scheduler of a cluster, if any.
    """
    if address is not None:
        return partial(cluster, address)
    return None if count is None else partial(processes, count, keep=True)


@contextmanager
def processes(count: int | None, *, keep: bool = False) -> Iterator[Executor]:
    """Processes of this machine, started afresh so that they share nothing with this one.

    Parameters
    ----------
    count
        How many; none: one for each core.
    keep
        Whether they keep what they work out for the next command, as this one does.
    """
    others = set(active_children())
    pool = ProcessPoolExecutor(
        count or os.cpu_count(),
        mp_context=get_context("spawn"),
        initializer=_alone,
        initargs=(keep,),
    )
    with pool:
        try:
            yield pool
        except BaseException:  # nobody waits for what they are at
            for child in set(active_children()) - others:
                child.terminate()
            raise


def _alone(keep: bool) -> None:  # noqa: FBT001 - handed over by position
    """A worker fills one core and leaves Ctrl-C to the process that waits for it."""
    from optioneer.files.cache import keep_between_commands
    from optioneer.study.problem.cores import fill, hold_memory

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    fill(1)
    hold_memory()
    if keep:
        keep_between_commands(os.environ)


class _Look(Protocol):
    """Something that is done every so often."""

    def stop(self) -> None: ...


def work_alone(looks: Mapping[str, _Look]) -> None:
    """What a worker of a cluster does for good once it has been asked for a row.

    It fills one core. That it is looked at a hundred times a second, to tell what it is at, takes
    some 2 % of a core that has nothing to spare, and nobody asks: that ends until it starts anew.

    Parameters
    ----------
    looks
        What the worker does besides its work, by name.
    """
    from optioneer.study.problem.cores import fill, hold_memory

    fill(1)
    hold_memory()
    if "profile" in looks:
        looks["profile"].stop()


@contextmanager
def cluster(address: str) -> Iterator[Executor]:
    """Workers of a cluster."""
    try:
        from distributed import Client, Worker, WorkerPlugin
    except ImportError as error:
        raise RequestError("--on: install the extra: pip install 'optioneer[cluster]'.") from error
    try:
        client = Client(address, timeout=20)  # type: ignore[no-untyped-call]  # not typed
    except (OSError, ValueError) as error:
        raise RequestError(f"--on: no scheduler answers at {address}: {error}.") from error

    class Alone(WorkerPlugin):
        """One errand fills one core: its worker takes another for each core it has."""

        def setup(self, worker: Worker) -> None:
            work_alone(worker.periodic_callbacks)

    with client:
        client.register_plugin(Alone(), name="optioneer")
        yield client.get_executor(retries=3, pure=False)  # type: ignore[no-untyped-call]  # not typed
