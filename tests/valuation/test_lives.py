"""Lives, stays and chances that nobody knows, against exact enumeration (`tests.oracle.ending`)."""

import numpy as np
import pytest
from hypothesis import given, settings

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.study.problem.arrays import Problem, problem_of
from optioneer.valuation.dual import bounds
from optioneer.valuation.worlds.beliefs import arrival_hazards
from optioneer.valuation.worlds.futures import Futures
from tests.oracle import ending
from tests.oracle.ending_cases import ending_cases
from tests.oracle.machine import State
from tests.valuation.engine import Engine, engine

ATTAINED = 0.002
"""The best package may cost at most this share more than under the best policy there is."""


def futures_of(case: Case, problem: Problem) -> tuple[Futures, Floats]:
    """Every future once, and its chance."""
    rows, chance = ending.every_future(case)
    streams = len(case.growth.stream)
    arrival, end = rows[:streams], rows[streams : 2 * streams]
    # What does not end before the horizon may last any longer.
    life = np.where(end == case.growth.periods, case.growth.periods, end - arrival)
    count = len(chance)
    ranged = problem.growth
    made = Futures(
        arrival=arrival,
        level=np.repeat(ranged.margin[:, 1:2], count, axis=1),
        log_swing=(None,) * streams,
        quantile=np.full((len(problem.options), count), 0.5),
        life=life if ranged.lasts else np.empty((0, 0), dtype=np.int32),
        stay=rows[-1] if ranged.stay is not None else np.empty(0, dtype=np.int32),
    )
    return made, chance


def lower_of(found: Engine) -> dict[State, Floats]:
    """What no way of retrofitting can better, package by package and future by future."""
    world = found.world
    return found.packages(
        lambda view, policy: (
            bounds(
                view,
                policy,
                arrival_hazards(world.growth, world.timeline, world.valued, view.lattice.streams),
            ).lower
        )
    )


def check(case: Case) -> float:
    """The engine's valuations of a case against the exact ones; how far it is from the best."""
    futures, chance = futures_of(case, problem_of(case))
    found = engine(case, futures)
    foresight, best = ending.hindsight(case), ending.optimum(case)

    def expected(costs: dict[State, Floats]) -> dict[State, float]:
        return {package: float(cost @ chance) for package, cost in costs.items()}

    assert expected(found.hindsight) == pytest.approx(foresight, rel=1e-9)
    rule, learned, lower = map(expected, (found.rule, found.learned, lower_of(found)))
    for package, least in best.items():
        assert min(rule[package], learned[package]) >= least - 1e-6 * abs(least)
        assert lower[package] <= least + 2e-4 * abs(least)
    cheapest = min(best, key=best.__getitem__)
    return (learned[cheapest] - best[cheapest]) / abs(best[cheapest])


@given(ending_cases())
@settings(max_examples=60, deadline=None, derandomize=True)
def test_random_small_cases(case: Case) -> None:
    assert check(case) <= ATTAINED
