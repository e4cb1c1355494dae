"""How far we are: whole commands against another checkout, sweeps against what a machine can do.

Not part of an ordinary run::

    OPTIONEER_BEFORE=FOLDER python -m pytest -n0 -s tests/bench/test_speed.py

``OPTIONEER_BEFORE`` is a checkout of an earlier state with its own ``.venv``; both are run in turn
on the same machine, so that what else it does counts for both. Seconds are those of processors, all
threads added up, with one thread for products of matrices.
"""

import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.machine import Hours
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.futures import world_of
from optioneer.valuation.cache.swept import costs_after_order
from optioneer.valuation.timing.cluster import journey_of_state
from optioneer.valuation.timing.policy import Policy
from optioneer.valuation.timing.sweep import hindsight_cost, policy_costs
from tests.bench.test_sweep import eight_slots
from tests.many_options import many_options

ROOT = Path(__file__).parents[2]
BEFORE = os.environ.get("OPTIONEER_BEFORE")
ROUNDS = int(os.environ.get("OPTIONEER_ROUNDS", "3"))
"""How often each is run; the least counts. Once is enough to see what is far off."""

needs_before = pytest.mark.skipif(BEFORE is None, reason="OPTIONEER_BEFORE names no checkout")


def told(line: str) -> None:
    sys.stdout.write(f"\n{line}\n")


def processor(home: Path, command: list[str], cache: str) -> float:
    """Processor seconds of one command of a checkout."""
    program = home / ".venv" / "bin" / "optioneer"
    environment = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OPTIONEER_CACHE": cache}
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([program, *command], cwd=home, env=environment, capture_output=True, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


CASE = str(Path(BEFORE or ROOT) / "catalogs_demo" / "mill-turn")
"""That of the earlier state for both, which today's may be larger than."""

ADVISE = ["advise", CASE]
BREAK_EVEN = ["advise", CASE, "--break-even"]
TURNING = ["turning", CASE, "--chance", "shafts"]
SENSITIVITY = ["sensitivity", CASE]
TIED_CHANCE = ["whatif", CASE, "--chance", "robot-series=0.6"]
"""A stream that drivers tie to others."""


class Measured(NamedTuple):
    """A command, what was asked before it, and the most it may take of what it took."""

    command: list[str]
    first: list[str] | None
    most: float


COMMANDS = {
    "advise": Measured(ADVISE, None, 0.55),
    "cash after advise": Measured(["cash", CASE], ADVISE, 0.55),
    "turning": Measured(TURNING, None, 0.1),
    "break-evens": Measured(BREAK_EVEN, None, 0.1),
    "a chance tied to drivers": Measured(TIED_CHANCE, None, 0.25),
    "the same after advise": Measured(TIED_CHANCE, ADVISE, 0.25),
    "sensitivity": Measured(SENSITIVITY, None, 0.2),
    "sensitivity asked again": Measured(SENSITIVITY, SENSITIVITY, 0.2),
}


@needs_before
@pytest.mark.parametrize("name", COMMANDS)
def test_whole_commands_against_another_checkout(name: str, tmp_path: Path) -> None:
    command, first, most = COMMANDS[name]
    seconds: dict[str, list[float]] = {"before": [], "now": []}
    for number in range(ROUNDS):
        for label, home in (("before", Path(str(BEFORE))), ("now", ROOT)):
            cache = str(tmp_path / f"{label} {number}") if first else "off"
            if first:
                processor(home, first, cache)
            seconds[label].append(processor(home, command, cache))
    before, now = min(seconds["before"]), min(seconds["now"])
    told(f"{name}: {before:.2f} s before, {now:.2f} s now, {now / before:.2f} of it")
    assert now <= most * before


MOVED = """
import sys, time
from pathlib import Path
from optioneer.files.case.read import read_case
from optioneer.study.worth.changes import asked_change, with_changes
try:
    from optioneer.app.apart.worked_out import preview_advice, valued_case
    from optioneer.study.advice.verdicts import sketched_advice_on
    from optioneer.study.worth.after_change import valued_after
except ImportError:  # the state before: a preview of its own
    from optioneer.study.advice.preview import preview as preview_advice

    def moved(case, changed):
        return preview_advice(changed)
else:
    def moved(case, changed):
        return sketched_advice_on(valued_after(valued_case(case, few=True), changed))

case = read_case(Path(sys.argv[1]))
preview_advice(case)
for text in sys.argv[2:]:
    changed = with_changes(case, [asked_change(*text.split())])[0]
    start = time.process_time()
    moved(case, changed)
    print(time.process_time() - start)
"""
"""What the app works out as a slider moves, once the first answer is there; seconds, line by line.
"""

SLIDERS = {
    "chance robot-series=0.6": 0.25,
    "margin shafts=x1.2": 0.25,
    "price robot-cell=x0.9": 0.25,
    "multiplier robot-cell=x1.1": 0.25,
    "nudge automation=1": 0.5,
}
"""Moves one after the other, and the most that each may take of what it took."""


@needs_before
def test_sliders_against_another_checkout() -> None:
    pairs = [(moves(Path(str(BEFORE))), moves(ROOT)) for _ in range(ROUNDS)]
    before, now = np.min(pairs, axis=0)
    parts, most = now / before, np.array(list(SLIDERS.values()))
    for i, name in enumerate(SLIDERS):
        took = f"{before[i]:.2f} s before, {now[i]:.2f} s now"
        told(f"{name}: {took}, {parts[i]:.2f} of it; at most {most[i]}")
    assert (parts <= most).all()


def moves(home: Path) -> Floats:
    """Processor seconds of each move in a checkout."""
    python = home / ".venv" / "bin" / "python"
    environment = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OPTIONEER_CACHE": "off"}
    command = [str(python), "-c", MOVED, CASE, *SLIDERS]
    ran = subprocess.run(
        command, cwd=home, env=environment, capture_output=True, check=True, text=True
    )
    return np.array(ran.stdout.split(), dtype=np.float64)


LIMIT, HELD = 10.0, 1.5
"""Time that a search is given [s], and how many times that the whole answer may take."""


@pytest.mark.parametrize("futures", [1024, 4096])
def test_a_large_cluster_that_shares_hours_keeps_to_its_limit(futures: int) -> None:
    case = sharing_hours(many_options(60, 25, futures=futures))
    start, used = time.perf_counter(), time.process_time()
    search = advice(AdviceRequest(case, seconds=LIMIT)).search
    wall, used = time.perf_counter() - start, time.process_time() - used
    told(
        f"{futures:,} futures in {LIMIT:g} s: {wall:.1f} s, {used:.1f} processor seconds; {search}"
    )
    assert search is not None
    assert wall <= HELD * LIMIT


def sharing_hours(case: Case) -> Case:
    """A case whose work takes hours that do not reach for all of it."""
    streams = tuple(
        stream.model_copy(update={"hours": 60.0 + 40.0 * (number % 5)})
        for number, stream in enumerate(case.growth.stream)
    )
    growth = case.growth.model_copy(update={"stream": streams})
    return case.model_copy(update={"growth": growth, "hours": Hours(attended=1500.0, beyond=90.0)})


def fastest(work: Callable[[], object]) -> float:
    """Least processor time of some rounds [s]."""
    work()
    taken = []
    for _ in range(ROUNDS):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return min(taken)


def test_a_sweep_against_what_the_machine_can_do() -> None:
    """Each period a sweep at least reads the cost to go and the flow, and writes their sum.

    More than that minimum are the moves: a minimum for each slot and target.
    """
    case = eight_slots()
    problem = problem_of(case)
    world, (lattice,) = world_of(case, problem), problem.lattices
    view = world.views(lattice)[0]
    shape = (lattice.size, view.futures.count)
    one, other, total = np.ones(shape), np.ones(shape), np.empty(shape)
    sums = 50
    least = fastest(lambda: [np.add(one, other, out=total) for _ in range(sums)]) / sums
    size = shape[0] * shape[1] * view.timeline.periods
    moves = 1 + 2 * len(lattice.targets)  # an addition and a minimum for each target, the flow
    for name, work, passes in (
        ("hindsight", lambda: hindsight_cost(view), moves),
        ("rule", lambda: policy_costs(view, [Policy()]), 2 * moves),
    ):
        taken = fastest(work)
        limit = least * passes * view.timeline.periods
        rate = 1e9 * taken / size
        told(
            f"{name}: {rate:.1f} ns per package-future-period, {passes} passes over the block a "
            f"period at {1e9 * least / (shape[0] * shape[1]):.2f} ns each would be "
            f"{1e9 * limit / size:.1f}: {limit / taken:.0%} of the machine's limit"
        )
        assert taken > limit / 2, "the limit is none"


def test_all_packages_at_once_against_one_at_a_time() -> None:
    """Equal results; one package at a time is simulated forward in NumPy over all futures."""
    case = eight_slots()
    problem = problem_of(case)
    world, (lattice,) = world_of(case, problem), problem.lattices
    found = costs_after_order(world, lattice, map)
    cost = found.with_prices_of(lattice)
    states = range(0, lattice.size, lattice.size // 4)
    for state in states:
        alone = journey_of_state(world, cost, state, map).cost
        assert np.abs(alone - found.learned[state]).max() < 0.01
    one = fastest(lambda: journey_of_state(world, cost, 0, map))
    every = fastest(lambda: [policy_costs(view, [found.policy]) for view in world.views(lattice)])
    periods = world.valued.count * world.timeline.periods
    told(
        f"learned, per package-future-period: {1e9 * every / periods / lattice.size:.1f} ns all at "
        f"once, {1e9 * one / periods:.1f} ns one at a time, {one * lattice.size / every:.1f} times"
    )
    assert every < one * lattice.size
