"""What becomes of a package, from moves that are kept: as if it were decided anew."""

from collections.abc import Callable
from dataclasses import fields

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.futures import with_draws, world_of
from optioneer.valuation.cache.fittings import fittings
from optioneer.valuation.cache.lives import journey_from_moves
from optioneer.valuation.cache.swept import cluster_cost, costs_after_order
from optioneer.valuation.timing import cluster
from tests.oracle import cases

CASES = [cases.anticipation, cases.shared_visit, cases.prepared, cases.driven]


@pytest.mark.parametrize("made", CASES, ids=lambda made: made.__name__)
def test_a_package_lived_through_again_is_the_same_to_the_last_bit(
    made: Callable[[], Case], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cluster, "BLOCK", 1)  # blocks of 64 futures
    case = with_draws(made(), 160)
    problem = problem_of(case)
    world, lattice = world_of(case, problem, 64), problem.lattices[0]
    cost = costs_after_order(world, lattice, map).with_prices_of(lattice)
    assert cost.moves is not None
    for state in np.flatnonzero(lattice.orderable):
        anew = cluster.journey_of_state(world, cost, int(state), map)
        again = journey_from_moves(world, cost, int(state), map)
        for each in fields(anew):
            assert np.array_equal(getattr(anew, each.name), getattr(again, each.name)), each.name
        fitted = fittings(world, cost, [int(state)], map)[int(state)]
        for each in fields(fitted):
            assert np.array_equal(getattr(anew, each.name), getattr(fitted, each.name)), each.name


@pytest.mark.parametrize("made", CASES, ids=lambda made: made.__name__)
def test_costs_are_the_same_without_bounds_which_serve_nobody_who_asks_for_them(
    made: Callable[[], Case],
) -> None:
    case = with_draws(made(), 160)
    problem = problem_of(case)
    world, lattice = world_of(case, problem, 64), problem.lattices[0]
    alone = cluster_cost(world, lattice, map, bounds=False)
    assert alone.hindsight.size == alone.rule.size == alone.best_hindsight.size == 0
    whole = cluster_cost(world, lattice, map)
    assert whole.hindsight.shape == whole.rule.shape == (lattice.size,)
    assert np.array_equal(alone.learned, whole.learned)
    assert alone.moves is not None
    assert whole.moves is not None
    assert np.array_equal(alone.moves.learned, whole.moves.learned)
    # Once both are there, what has bounds serves whoever asks for none.
    assert cluster_cost(world, lattice, map, bounds=False).hindsight.size == lattice.size
