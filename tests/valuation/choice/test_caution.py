"""Choices under caution against enumeration."""

from collections.abc import Sequence
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optioneer.arrays import Floats
from optioneer.valuation.choice.attitude import Attitude
from optioneer.valuation.choice.caution import CLOSE_ENOUGH, Weighings
from optioneer.valuation.choice.selection import Limit, keeps
from optioneer.valuation.figures.summary import worst_mean


@st.composite
def problems(draw: st.DrawFn) -> tuple[Weighings, list[Limit]]:
    """Up to four clusters of up to four states in a few futures, some that cannot be ordered."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    sizes = draw(st.lists(st.integers(1, 4), min_size=1, max_size=4))
    futures = draw(st.integers(3, 40))
    costs = [
        rng.normal(size=(size, futures)) * 1e3 * rng.uniform(0.1, 3.0)
        + rng.normal(size=(size, 1)) * 200.0
        for size in sizes
    ]
    for cost in costs:
        if len(cost) > 1 and draw(st.booleans()):
            cost[rng.integers(len(cost))] = np.inf
    share = draw(st.sampled_from([0.1, 0.25, 0.6, 1.0]))
    attitude = Attitude(draw(st.sampled_from([0.0, 0.3, 0.7, 1.0])), share)
    uses = [rng.integers(0, 5, size).astype(float) for size in sizes]
    limits = [Limit(uses, draw(st.floats(0, 10)))] if draw(st.booleans()) else []
    return Weighings(costs, rng.normal(size=futures) * 500.0, attitude), limits


def enumerated(known: Weighings, limits: Sequence[Limit]) -> dict[tuple[int, ...], float]:
    """What every choice that can be had costs under the attitude, the other way round."""
    found = {}
    for states in product(*(range(len(cost)) for cost in known.costs)):
        cost = known.cost(states)
        if np.isfinite(cost).all() and all(keeps(limit, states) for limit in limits):
            tail = worst_mean(cost, known.attitude.share)
            weight = known.attitude.weight
            found[states] = (1 - weight) * float(cost.mean()) + weight * tail
    return found


@settings(max_examples=60, deadline=None)
@given(problems())
def test_the_choice_is_the_best_of_all_and_its_bound_is_one(
    problem: tuple[Weighings, list[Limit]],
) -> None:
    known, limits = problem
    rated = enumerated(known, limits)
    found = known.least(limits)
    if not rated:
        assert found is None
        return
    assert found is not None
    least = min(rated.values())
    assert rated[found.states] == pytest.approx(found.rated)
    assert least - 1e-6 <= found.rated <= least + CLOSE_ENOUGH + 1e-6
    assert found.bound <= least + 1e-6
    assert found.rated - found.bound <= CLOSE_ENOUGH + 1e-6


@settings(max_examples=30, deadline=None)
@given(problems())
def test_no_change_of_one_cluster_betters_what_is_bettered(
    problem: tuple[Weighings, list[Limit]],
) -> None:
    known, limits = problem
    rated = enumerated(known, limits)
    if rated:
        start = max(rated, key=lambda states: rated[states])
        best = known.bettered(start, limits)
        near = [s for s in rated if sum(a != b for a, b in zip(s, best, strict=True)) <= 1]
        assert rated[best] <= min(rated[states] for states in near) + CLOSE_ENOUGH + 1e-6


def test_a_cluster_kept_to_some_states_stays_in_them() -> None:
    costs = [np.array([[1.0, 1.0], [5.0, 5.0], [3.0, 3.0]]), np.array([[2.0, 0.0], [0.0, 9.0]])]
    known = Weighings(costs, np.zeros(2), Attitude(1.0, 0.5))
    kept = np.array([False, True, True])
    assert known.bettered((1, 1), within=(0, kept)) == (2, 0)


COSTS = st.lists(st.integers(-50, 50).map(float), min_size=1, max_size=30).map(np.array)


@settings(deadline=None)
@given(COSTS, st.floats(0, 1), st.floats(0.05, 1.0))
def test_the_three_ways_of_rating_a_cost_agree(cost: Floats, weight: float, share: float) -> None:
    attitude = Attitude(weight, share)
    rated = (1 - weight) * cost.mean() + weight * worst_mean(cost, share)
    assert attitude.rating(cost) == pytest.approx(rated, abs=1e-9)
    assert attitude.rated_futures(cost).mean() == pytest.approx(rated, abs=1e-9)
    density = attitude.weighing(cost)
    assert (density * cost).mean() == pytest.approx(rated, abs=1e-9)
    assert density.mean() == pytest.approx(1.0)


def test_a_sure_cost_beats_a_gamble_once_the_worst_weighs_enough() -> None:
    # On average 10 against 9; in the worst half 10 against 18.
    costs = [np.array([[10.0, 10.0], [0.0, 18.0]])]
    for weight, best in ((0.0, 1), (0.1, 1), (0.12, 0), (1.0, 0)):
        found = Weighings(costs, np.zeros(2), Attitude(weight, 0.5)).least()
        assert found is not None
        assert found.states == (best,)
