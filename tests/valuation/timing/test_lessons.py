"""What lessons came to while a policy was learned, against that policy followed through them."""

import numpy as np
import pytest

from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.futures import with_draws, world_of
from optioneer.valuation.timing.cluster import cost_of_policy, cost_while_learning, policy_of
from tests.oracle import cases

FIRST = 96


@pytest.mark.parametrize("name", cases.CASES)
def test_lessons_came_to_what_their_policy_costs_in_them(name: str) -> None:
    case = with_draws(cases.CASES[name](), 256)
    problem = problem_of(case)
    whole = world_of(case, problem)
    world = whole.first(FIRST)
    assert world.learned is world.valued
    assert np.array_equal(world.valued.arrival, whole.valued.arrival[:, :FIRST])
    for lattice in problem.lattices:
        policy = policy_of(world, lattice, map)
        told = cost_while_learning(world, lattice, map)
        assert told.shape == (lattice.size, FIRST)
        assert np.array_equal(told, cost_of_policy(world, lattice, policy, map))


def test_the_same_futures_stay_the_same_when_they_are_drawn_otherwise() -> None:
    case = with_draws(cases.driven(), 64)
    problem = problem_of(case)
    whole = world_of(case, problem)
    once = whole.first(FIRST // 2).under(problem.growth)
    assert once.learned is once.valued
    assert once.learned_price is once.price
    apart = whole.under(problem.growth)
    assert apart.learned is not apart.valued
    assert np.array_equal(apart.learned.arrival, whole.learned.arrival)
