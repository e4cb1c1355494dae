"""How the cost of valuing every package grows: the lattice, and one package and future at a time.

Not part of an ordinary run::

    OPENBLAS_NUM_THREADS=1 python -m pytest -n0 --benchmark-only -s tests/bench/test_growth.py

One thread of the linear algebra each, as the command line sets it: more would only contend.

Every way values all packages of the same invented cases on two threads. One by one takes days on
the larger ones; it is timed on some packages and futures and multiplied, for every one takes the
same steps. Seconds are those of all cores added up, which other work on the machine blurs least.
Memory is the peak of what the way itself takes. The table is printed at the end.
"""

import os
import sys
import time
import tracemalloc
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from optioneer.model.case import Case
from optioneer.model.growth import Driver, Stream, Way
from optioneer.study.advice.advice import advice
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.clusters import cluster_terms
from optioneer.study.problem.cores import parallel
from optioneer.study.problem.effort import Effort, Heard
from optioneer.study.problem.futures import world_of
from optioneer.study.search.large import LargeCluster
from optioneer.valuation.cache.swept import costs_after_order
from optioneer.valuation.large.short_list import short_list
from optioneer.valuation.timing.policy import Policy
from tests.many_options import many_options
from tests.oracle import paths
from tests.oracle.cases import between, case_of, option
from tests.valuation.engine import Engine
from tests.valuation.timing.test_paths import future_of

THREADS = 2

AMPLE = 600.0
"""Time that no search here needs [s]."""


@dataclass(frozen=True)
class Size:
    """How large a case is; its options can all be retrofitted and hang together."""

    options: int = 6
    streams: int = 4
    futures: int = 1024
    periods: int = 40

    def __str__(self) -> str:
        return "-".join(str(value) for value in vars(self).values())


GROWN = {
    "options": (4, 7, 10),
    "streams": (2, 4, 8),
    "futures": (512, 2048, 8192),
    "periods": (20, 40, 80),
}
"""What grows, the rest as usual."""

SIZES = [(what, replace(Size(), **{what: many})) for what, all_ in GROWN.items() for many in all_]


def case(size: Size) -> Case:
    """A case of this size over ten years. All figures are invented."""
    options = [
        option(f"item-{i}", 6e3 + 2e3 * i, 1.0, call_out="default", downtime_days=2.0).model_copy(
            update={"multiplier": between(1.4, 1.9, 2.8)}
        )
        for i in range(size.options)
    ]
    streams = [
        Stream(
            id=f"work-{k}",
            chance=0.6,
            years=between(0.5, 2.0, 6.0),
            margin=between(5e3, 9e3, 20e3),
            drivers={"automation": 0.5},
            way=(
                Way(options=tuple(f"item-{(k + i) % size.options}" for i in range(2))),
                Way(options=(f"item-{(k + 2) % size.options}",), share=0.5),
            ),
        )
        for k in range(size.streams)
    ]
    growth = {
        "horizon_years": 10.0,
        "periods_per_year": size.periods // 10,
        "futures": size.futures,
        "driver": (Driver(id="automation"),),
    }
    return case_of(options, streams, growth=growth, call_outs={"default": 1.8e3}, lead=0.5)


def lattice(size: Size) -> tuple[Callable[[], object], float]:
    """All packages at once, learned policy, rule and hindsight; and how much of it is done."""
    found = problem_of(case(size))
    world = world_of(case(size), found)

    def work() -> None:
        with ThreadPoolExecutor(THREADS) as pool:
            for each in found.lattices:
                costs_after_order(world, each, pool.map)

    return work, 1.0


SOME_PACKAGES, SOME_FUTURES = 4, 2


def one_by_one(size: Size) -> tuple[Callable[[], object], float]:
    """A plan without retrofits carried out step by step in plain Python, which is the least."""
    made = case(size)
    found = problem_of(made)
    engine = Engine(found, world_of(made, found), tuple(Policy() for _ in found.lattices))
    (first, *_) = found.lattices
    packages = [engine.options(first, state) for state in range(SOME_PACKAGES)]
    futures = [future_of(made, engine, n) for n in range(SOME_FUTURES)]

    def work() -> None:
        for package in packages:
            for future in futures:
                paths.plan_cost(*future, package, ())

    return work, SOME_PACKAGES * SOME_FUTURES / (2**size.options * size.futures)


def searched(size: Size) -> tuple[Callable[[], object], float]:
    """What is done where not all packages can be valued: programme, bound, search."""
    made = case(size)
    found = replace(problem_of(made), lattices=(short_list(cluster_terms(made, 0)),))
    world = world_of(made, found)

    def work() -> None:
        with parallel() as run:
            LargeCluster(made, found, world, 0, Effort(AMPLE), run, Heard(None)).searched()

    return work, 1.0


WAYS = {"lattice": lattice, "searched": searched, "one by one": one_by_one}


@dataclass(frozen=True)
class Row:
    """What one way took on one case."""

    what: str
    size: Size
    way: str
    seconds: float
    peak: float


@pytest.fixture(scope="module")
def rows() -> Iterator[list[Row]]:
    """Rows of the table, printed once all are there."""
    found: list[Row] = []
    yield found
    sys.stdout.write(f"\n{os.cpu_count()} cores, {THREADS} threads\n")
    sys.stdout.write("grows    options streams futures periods  way      core-seconds    MiB\n")
    for row in found:
        size = "".join(f"{value:8d}" for value in vars(row.size).values())
        told = f"{row.seconds:9.3g} {row.peak:6.1f}"
        sys.stdout.write(f"{row.what:8s}{size}  {row.way:12s}{told}\n")


def test_sixty_options_and_twenty_five_streams(benchmark: BenchmarkFixture) -> None:
    """Advice with its gap, the search ended by nothing but the usual limit on its time."""
    start = time.process_time()
    told = benchmark.pedantic(advice, args=(many_options(),), rounds=1)  # type: ignore[no-untyped-call]  # the plug-in's
    taken = time.process_time() - start
    assert told.search is not None
    assert told.search.gap is not None
    decided = told.advised.npc - told.packages[0].price
    sys.stdout.write(
        f"\n60 options, 25 streams: {taken:.0f} core-seconds, gap {told.search.gap:,.0f} "
        f"+- {told.search.gap_se:,.0f} of {decided:,.0f} beyond the bare machine's price\n"
    )


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize(("what", "size"), SIZES, ids=[f"{w} {s}" for w, s in SIZES])
def test_growth(
    benchmark: BenchmarkFixture, rows: list[Row], what: str, size: Size, way: str
) -> None:
    benchmark.group = what
    work, done = WAYS[way](size)
    seconds: list[float] = []

    def timed() -> None:
        start = time.process_time()
        work()
        seconds.append((time.process_time() - start) / done)

    benchmark.pedantic(timed, rounds=1)  # type: ignore[no-untyped-call]  # the plug-in's
    tracemalloc.start()
    work()
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    benchmark.extra_info["seconds for all packages and futures"] = min(seconds)
    benchmark.extra_info["peak MiB"] = peak / 2**20
    rows.append(Row(what, size, way, min(seconds), peak / 2**20))
