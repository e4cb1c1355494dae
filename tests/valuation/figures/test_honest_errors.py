"""Intervals hold the exact value as often as they say, over many seeds.

The policy is learned once; its exact value is the mean over every combination of arrival periods,
weighted by the probability that `tests.oracle` gives it. What is drawn anew with each seed is what
it is valued on.
"""

from dataclasses import dataclass, replace
from functools import cached_property, partial

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.study.problem.arrays import problem_of
from optioneer.valuation.figures.summary import standard_error
from tests.oracle.arrivals import joint
from tests.oracle.cases import driven, two_visits, waiting
from tests.oracle.machine import State
from tests.valuation.engine import Engine, engine, every_future, futures

SEEDS, FUTURES = 200, 128

FEWEST, MOST = 0.90, 0.99
"""Bounds on how many of the 95 % intervals hold the exact value."""


@dataclass(frozen=True)
class Trials:
    """One case valued with many seeds."""

    case: Case

    @cached_property
    def engine(self) -> Engine:
        """Every combination of arrivals, with the policy as learned."""
        return engine(self.case, every_future(self.case, problem_of(self.case)))

    @cached_property
    def exact(self) -> dict[State, float]:
        """Mean cost of each package under that policy."""
        weight = joint(self.case).ravel()
        return {package: float(cost @ weight) for package, cost in self.engine.learned.items()}

    @cached_property
    def drawn(self) -> list[dict[State, Floats]]:
        """Cost of each package in drawn futures, by seed."""
        made = partial(futures, self.engine.problem, FUTURES)
        found = []
        for seed in range(SEEDS):
            again = replace(self.engine.world, valued=made(seed=seed))
            found.append(Engine(self.engine.problem, again, self.engine.policies).learned)
        return found

    @property
    def two_best(self) -> list[State]:
        """The package that costs least, and the next."""
        return sorted(self.exact, key=self.exact.__getitem__)[:2]


def held(samples: list[Floats], exact: float) -> float:
    """Share of the 95 % intervals that hold the exact mean."""
    means = np.array([sample.mean() for sample in samples])
    errors = np.array([standard_error(sample) for sample in samples])
    assert (errors > 0).all()
    return float((np.abs(means - exact) <= 1.96 * errors).mean())


TRIALS = {case.__name__: Trials(case()) for case in (waiting, driven, two_visits)}


@pytest.mark.parametrize("name", TRIALS)
def test_npc_of_the_best_package(name: str) -> None:
    trials = TRIALS[name]
    best, _ = trials.two_best
    share = held([costs[best] for costs in trials.drawn], trials.exact[best])
    assert FEWEST <= share <= MOST


@pytest.mark.parametrize("name", TRIALS)
def test_what_the_next_best_package_costs_more_future_by_future(name: str) -> None:
    trials = TRIALS[name]
    best, other = trials.two_best
    extra = trials.exact[other] - trials.exact[best]
    share = held([costs[other] - costs[best] for costs in trials.drawn], extra)
    assert FEWEST <= share <= MOST
