"""How fast the sweeps are, how much memory they take, and what one package at a time would take.

Not part of an ordinary run::

    python -m pytest -n0 --benchmark-only -s tests/bench

Rates are package-futures-periods a second; those a core-second (all threads' time added up) are
what a machine busy with other work can still tell. A peak of memory is that of a process of its
own.
"""

import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from optioneer.model.case import Case
from optioneer.model.growth import Driver, Stream, Way
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.cores import parallel
from optioneer.study.problem.futures import world_of
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.timing.cluster import ClusterCost, World, journey_of_state, policy_of
from optioneer.valuation.timing.policy import Mapper, Policy
from optioneer.valuation.timing.sweep import hindsight_cost, policy_costs
from tests.oracle import paths
from tests.oracle.cases import between, case_of, option
from tests.valuation.engine import Engine
from tests.valuation.timing.test_paths import future_of

ROOT = Path(__file__).parents[2]
SLOTS, STREAMS, FUTURES = 8, 6, 4096
NAIVE_PACKAGES, NAIVE_FUTURES = 8, 2


def eight_slots() -> Case:
    """Eight two-level slots tied by six streams; ten years of quarters. Figures are invented."""
    options = [
        option(f"item-{i}", 6e3 + 2e3 * i, 1.0, call_out="default", downtime_days=2.0).model_copy(
            update={"multiplier": between(1.4, 1.9, 2.8)}
        )
        for i in range(SLOTS)
    ]
    streams = [
        Stream(
            id=f"work-{k}",
            chance=0.6,
            years=between(0.5, 2.0, 6.0),
            margin=between(5e3, 9e3, 20e3),
            drivers={"automation": 0.5},
            way=(
                Way(options=(f"item-{k}", f"item-{k + 1}")),
                Way(options=(f"item-{k + 2}",), share=0.5),
            ),
        )
        for k in range(STREAMS)
    ]
    growth = {
        "horizon_years": 10.0,
        "periods_per_year": 4,
        "futures": FUTURES,
        "driver": (Driver(id="automation"),),
    }
    return case_of(options, streams, growth=growth, call_outs={"default": 1.8e3}, lead=0.5)


@pytest.fixture(scope="module")
def world() -> World:
    """The futures of the case."""
    case = eight_slots()
    return world_of(case, problem_of(case))


@pytest.fixture(scope="module")
def lattice() -> Lattice:
    """The one cluster of the case."""
    (found,) = problem_of(eight_slots()).lattices
    assert (found.size, len(found.streams)) == (2**SLOTS, STREAMS)
    return found


@pytest.fixture(scope="module")
def run() -> Iterator[Mapper]:
    """A map over all cores."""
    with parallel() as mapper:
        yield mapper


def measured(benchmark: BenchmarkFixture, work: Callable[[], object], updates: float) -> None:
    """Time some work and print its rate."""
    seconds, core_seconds = [], []

    def timed() -> None:
        start, core_start = time.perf_counter(), time.process_time()
        work()
        seconds.append(time.perf_counter() - start)
        core_seconds.append(time.process_time() - core_start)

    benchmark.pedantic(timed, rounds=3, warmup_rounds=1)  # type: ignore[no-untyped-call]  # the plug-in's
    rate, core_rate = updates / min(seconds), updates / min(core_seconds)
    benchmark.extra_info["package-futures-periods a second"] = rate
    benchmark.extra_info["the same a core-second"] = core_rate
    said = f"{rate:.3g} package-futures-periods a second, {core_rate:.3g} a core-second"
    sys.stdout.write(f"\n{benchmark.name}: {said}\n")


def updates(lattice: Lattice, world: World) -> float:
    """Packages x futures x periods of one valuation."""
    return float(lattice.size) * world.valued.count * world.timeline.periods


def test_hindsight(
    benchmark: BenchmarkFixture, world: World, lattice: Lattice, run: Mapper
) -> None:
    views = world.views(lattice)
    measured(benchmark, lambda: list(run(hindsight_cost, views)), updates(lattice, world))


def test_rule(benchmark: BenchmarkFixture, world: World, lattice: Lattice, run: Mapper) -> None:
    views, swept = world.views(lattice), partial(policy_costs, policies=[Policy()])
    measured(benchmark, lambda: list(run(swept, views)), updates(lattice, world))


def test_learning(benchmark: BenchmarkFixture, world: World, lattice: Lattice, run: Mapper) -> None:
    lessons = sum(view.futures.count for view in world.lessons(lattice))
    size = float(lattice.size) * lessons * world.timeline.periods
    measured(benchmark, lambda: policy_of(world, lattice, run), size)


def test_learned(benchmark: BenchmarkFixture, world: World, lattice: Lattice, run: Mapper) -> None:
    views = world.views(lattice)
    swept = partial(policy_costs, policies=[policy_of(world, lattice, run)])
    measured(benchmark, lambda: list(run(swept, views)), updates(lattice, world))


def test_one_package_at_a_time_forward(
    benchmark: BenchmarkFixture, world: World, lattice: Lattice, run: Mapper
) -> None:
    """The learned policy lived through from the bare machine, as the advice does once."""
    none = np.empty(0)
    policy = policy_of(world, lattice, run)
    cost = ClusterCost(lattice, policy, none, none, none, none)
    one = float(world.valued.count) * world.timeline.periods
    measured(benchmark, lambda: journey_of_state(world, cost, 0, run), one)


def test_one_package_and_future_at_a_time(
    benchmark: BenchmarkFixture, world: World, lattice: Lattice
) -> None:
    """A plan carried out step by step in plain Python, as a naive simulation would."""
    case = eight_slots()
    found = Engine(problem_of(case), world, (Policy(),))
    some = range(0, lattice.size, lattice.size // NAIVE_PACKAGES)
    states = [found.options(lattice, s) for s in some]
    futures = [future_of(case, found, n) for n in range(NAIVE_FUTURES)]

    def naive() -> float:
        return float(sum(paths.plan_cost(*f, s, ()) for s in states for f in futures))

    size = float(len(states)) * NAIVE_FUTURES * world.timeline.periods
    measured(benchmark, naive, size)


PEAK = """
import resource, sys
{work}
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""

SWEEPS = """
from tests.bench.test_sweep import eight_slots
from optioneer.study.worth.valued_case import valued
valued(eight_slots())
"""

ADVISE = """
from pathlib import Path
from optioneer.files.case.read import read_case
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
advice(AdviceRequest(read_case(Path("catalogs_demo/mill-turn")), prove=True))
"""


def process(work: str) -> tuple[float, float]:
    """Seconds that a process of its own takes, start included, and its peak of memory [MiB]."""
    start = time.perf_counter()
    command = [sys.executable, "-c", PEAK.format(work=work)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    return time.perf_counter() - start, float(done.stdout.split()[-1])


@pytest.mark.parametrize("work", [SWEEPS, ADVISE], ids=["eight slots", "advise mill-turn"])
def test_whole_process(benchmark: BenchmarkFixture, work: str) -> None:
    seconds, peak = benchmark.pedantic(process, args=(work,), rounds=1)  # type: ignore[no-untyped-call]  # the plug-in's
    benchmark.extra_info["peak MiB"] = peak
    sys.stdout.write(f"\n{benchmark.name}: {seconds:.2f} s, {peak:.0f} MiB at most\n")
    assert peak < 1024, "a gibibyte is the bound"
