"""How many rows of a batch workers make: processes of one machine, workers of a local cluster.

Not part of an ordinary run::

    OPENBLAS_NUM_THREADS=1 python -m pytest -n0 -s tests/bench/test_workers.py

Needs the extra ``cluster``. Workers are timed once each of them has made a row, as a long batch
finds them, and make so many that it hardly counts that one of them ends before the other: half a
row on average, 4 % of 24 rows and nothing of 2,000. On a machine that is busy with other work two
workers give less than on one that is not: the processor seconds of a row say what it takes.
"""

import os
import resource
import sys
import time
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager, nullcontext
from functools import partial
from itertools import cycle, islice

import pytest
from distributed import LocalCluster

from optioneer.cli.many import workers
from optioneer.files.case.demos import demo_folder
from optioneer.files.case.read import read_case
from optioneer.study.many.batch import BatchErrand, BatchRow, batch_row
from optioneer.study.problem.executor import Pool, streamed
from optioneer.study.ready.first_chips import with_first_chips

ROWS = int(os.environ.get("OPTIONEER_ROWS", "48"))
MINUTES, WANTED = 5, 2000
"""Rows that are wanted in so many minutes on two cores."""


def errands(count: int) -> list[BatchErrand]:
    """The small mill with a chance and a margin varied, no two alike."""
    case = with_first_chips(read_case(demo_folder("small-mill")))
    streams = [stream.id for stream in case.growth.stream]
    pairs = islice(zip(cycle(streams), cycle(streams[1:]), strict=False), count)
    return [
        BatchErrand(
            number,
            case.name,
            case,
            "",
            ((f"chance {one}", f"{0.3 + 0.4 * number / count:.4f}"), (f"margin {other}", "x1.1")),
        )
        for number, (one, other) in enumerate(pairs, 1)
    ]


@contextmanager
def local_cluster(count: int) -> Iterator[Executor]:
    with (
        LocalCluster(  # type: ignore[no-untyped-call]  # not typed
            n_workers=count, threads_per_worker=1, dashboard_address=None
        ) as there,
        workers.cluster(there.scheduler_address) as executor,
    ):
        yield executor


POOLS: dict[str, Pool] = {
    "one process": partial(workers.processes, 1),
    "two processes": partial(workers.processes, 2),
    "one worker of a cluster": partial(local_cluster, 1),
    "two workers of a cluster": partial(local_cluster, 2),
}


def rate(pool: Pool) -> tuple[float, list[BatchRow]]:
    """Rows a second, and the rows; workers are there and warm before."""
    with pool() as executor:

        def there() -> nullcontext[Executor]:
            return nullcontext(executor)

        for _ in streamed(batch_row, errands(4), there):
            pass
        start = time.perf_counter()
        found = [row for _, row in streamed(batch_row, errands(ROWS), there)]
        taken = time.perf_counter() - start
    rows = [row for row in found if isinstance(row, BatchRow)]
    assert len(rows) == ROWS
    return ROWS / taken, sorted(rows, key=lambda row: row.row)


def children() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


@pytest.mark.parametrize("kind", ["process", "worker of a cluster"])
def test_two_make_the_same_rows_as_one_and_more_of_them(kind: str) -> None:
    many = {"process": "processes"}.get(kind, "workers of a cluster")
    before = children()
    alone, rows = rate(POOLS[f"one {kind}"])
    each = (children() - before) / (ROWS + 4)
    together, same = rate(POOLS[f"two {many}"])
    assert rows == same
    assert not any(row.error for row in rows)
    sys.stdout.write(
        f"\n{kind}: {alone:.2f} rows a second, two {together:.2f}, {together / alone:.2f} times; "
        f"{each:.2f} processor seconds a row with the start of the worker; {WANTED:,} rows by two "
        f"in {WANTED / together / 60:.1f} minutes ({MINUTES} wanted)\n"
    )
