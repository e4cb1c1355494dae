"""The engine driven from tests: cases as worlds, clusters put together to packages."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.study.problem.arrays import Problem, problem_of
from optioneer.study.problem.futures import constant_cost
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.cluster import World, policy_of
from optioneer.valuation.timing.policy import Policy
from optioneer.valuation.timing.sweep import hindsight_cost, policy_costs
from optioneer.valuation.worlds.futures import Futures, drawn_futures
from optioneer.valuation.worlds.scores import scores
from tests.oracle.machine import State

Costs = Callable[[View, Policy], Floats]


def futures(problem: Problem, count: int, *, seed: int = 7, use: int = 0) -> Futures:
    """Drawn futures of a problem."""
    return drawn_futures(
        problem.growth, problem.timeline, options=problem.options, count=count, seed=seed, use=use
    )


def every_future(case: Case, problem: Problem) -> Futures:
    """Each combination of arrival periods once, in the order of a C array; the rest is certain."""
    shape = (case.growth.periods + 1,) * len(case.growth.stream)
    arrival = np.indices(shape).reshape(len(shape), -1).astype(np.int32)
    count = arrival.shape[1]
    return Futures(
        arrival=arrival,
        level=np.repeat(problem.growth.margin[:, 1:2], count, axis=1),
        log_swing=(None,) * len(shape),
        quantile=np.full((len(problem.options), count), 0.5),
    )


@dataclass(frozen=True)
class Engine:
    """One case on given futures, every cluster valued."""

    problem: Problem
    world: World
    policies: tuple[Policy, ...]

    def view(self, lattice: Lattice) -> View:
        """All futures as one lattice meets them."""
        return self.world.view(lattice, self.world.valued)

    def options(self, lattice: Lattice, state: int) -> State:
        """Ids of what is fitted in a state."""
        return frozenset(self.problem.options[o] for o in lattice.options(state))

    def packages(self, costs: Costs) -> dict[State, Floats]:
        """NPC in each future of every package that can be ordered [money]."""
        total = {frozenset[str](): constant_cost(self.problem, self.world)}
        for lattice, policy in zip(self.problem.lattices, self.policies, strict=True):
            cost = costs(self.view(lattice), policy)
            part = {
                self.options(lattice, int(s)): lattice.price[s] + cost[s]
                for s in np.flatnonzero(lattice.orderable)
            }
            total = {a | b: x + y for (a, x), (b, y) in product(total.items(), part.items())}
        return total

    @property
    def hindsight(self) -> dict[State, Floats]:
        """Packages with retrofits chosen knowing the future."""
        return self.packages(lambda view, _: hindsight_cost(view))

    @property
    def rule(self) -> dict[State, Floats]:
        """Packages under the rule alone."""
        return self.packages(lambda view, _: policy_costs(view, [Policy()])[0])

    @property
    def learned(self) -> dict[State, Floats]:
        """Packages under the learned policy."""
        return self.packages(lambda view, policy: policy_costs(view, [policy])[0])


def engine(case: Case, valued: Futures | None = None, *, lessons: int = 2048) -> Engine:
    """A case on given futures, or on the 16 drawn first, its policy learned as usual.

    Parameters
    ----------
    case
        What is valued.
    valued
        Futures to value on.
    lessons
        Number of futures to learn from.
    """
    problem = problem_of(case)
    world = World(
        timeline=problem.timeline,
        growth=problem.growth,
        scores=scores(problem.growth, problem.timeline) if problem.growth.loadings.any() else None,
        valued=futures(problem, 16) if valued is None else valued,
        learned=futures(problem, lessons, use=1),
        attendance=problem.attendance,
    )
    policies = tuple(policy_of(world, lattice, map) for lattice in problem.lattices)
    return Engine(problem, world, policies)
