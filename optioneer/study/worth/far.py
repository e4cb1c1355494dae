"""The clusters of a case swept by workers: the same arrays as if they were swept here."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from optioneer.model.case import Case
from optioneer.study.problem.arrays import ON_TIME, Problem, Start, problem_of
from optioneer.study.problem.copies import shared_out
from optioneer.study.problem.effort import Progress
from optioneer.study.problem.futures import FEWEST_LESSONS, world_of
from optioneer.valuation.cache.memory import MEMORY, Arrays
from optioneer.valuation.cache.swept import costs_after_order, costs_name
from optioneer.valuation.large.short_list import Listed
from optioneer.valuation.timing.cluster import World
from optioneer.valuation.timing.policy import Mapper

MOST_DRAWN = 2
"""Cases whose futures a worker keeps between the clusters that it sweeps."""


@dataclass(frozen=True)
class Drawn:
    """All that the arrays and the futures of a case hang on.

    Parameters
    ----------
    case
        A checked and dated case.
    order_factor
        Present value of paying for the order, per unit of price.
    start
        When the machine is there.
    swept
        Most that valuing every package of a cluster may take [s], if any.
    fewest_lessons
        Futures to learn from at least.
    bounds
        Whether costs with the future known and under the rule are asked for, too.
    """

    case: Case
    order_factor: float
    start: Start = ON_TIME
    swept: float | None = None
    fewest_lessons: int = FEWEST_LESSONS
    bounds: bool = True


def sweep_far(asked: Drawn, world: World, problem: Problem, far: Mapper) -> None:
    """Have the clusters of a case swept that nothing is remembered of, and remember them.

    Parameters
    ----------
    asked
        The case.
    world, problem
        What it comes to here.
    far
        Workers, from `executor.opened`.
    """
    left = _unknown(world, problem, bounds=asked.bounds)
    found: Iterable[Arrays] = far(cluster_arrays, [asked] * len(left), list(left.values()))
    for name, arrays in zip(left, found, strict=True):
        MEMORY.put(name, arrays)


def sweep_in_two(
    world: World, problem: Problem, progress: Progress | None = None, *, bounds: bool = True
) -> None:
    """The same with a copy of this process as the worker, where there may be one (`allowed`)."""
    left, done = _unknown(world, problem, bounds=bounds), list[int]()
    sizes = [lattice.size for lattice in problem.lattices]
    most = max(sum(sizes[cluster] for cluster in left.values()), 1)

    def arrays_of(cluster: int) -> Arrays:
        done.append(sizes[cluster])
        return costs_after_order(world, problem.lattices[cluster], map, bounds=bounds).arrays

    def tell() -> None:
        if progress is not None:
            progress(min(2 * sum(done) / most, 1.0))  # the copy does as much meanwhile

    for name, arrays in zip(left, shared_out(arrays_of, [*left.values()], tell), strict=True):
        MEMORY.put(name, arrays)


def _unknown(world: World, problem: Problem, *, bounds: bool) -> dict[str, int]:
    """The clusters with a lattice that nothing is remembered of, by name; the largest first."""
    names = {
        costs_name(world, lattice, bounds=bounds): cluster
        for cluster, lattice in enumerate(problem.lattices)
        if not isinstance(lattice, Listed)
    }
    left = [name for name in names if MEMORY.get(name) is None]
    left.sort(key=lambda name: -problem.lattices[names[name]].size)  # they take longest
    return {name: names[name] for name in left}


def cluster_arrays(asked: Drawn, cluster: int) -> Arrays:
    """What sweeping one cluster gives."""
    problem, world = problem_and_world(asked)
    return costs_after_order(world, problem.lattices[cluster], map, bounds=asked.bounds).arrays


@lru_cache(MOST_DRAWN)
def problem_and_world(asked: Drawn) -> tuple[Problem, World]:
    """The arrays and the futures of a case; the last ones are kept for the next cluster."""
    problem = problem_of(
        asked.case, order_factor=asked.order_factor, start=asked.start, seconds=asked.swept
    )
    return problem, world_of(asked.case, problem, asked.fewest_lessons)
