"""The frontier of budgets against full enumeration."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optioneer.valuation.choice.frontier import merged, undominated

amounts = st.integers(0, 40).map(float)
clusters = st.lists(st.lists(st.tuples(amounts, amounts), min_size=1, max_size=4), max_size=4)


def enumerated(points: list[list[tuple[float, float]]], budget: float) -> float:
    """Least cost of any combination within the budget."""
    sums = [np.sum(chosen, axis=0) for chosen in product(*points)] if points else [np.zeros(2)]
    return min((cost for price, cost in sums if price <= budget), default=np.inf)


@given(clusters, st.integers(0, 160).map(float))
def test_the_best_point_within_a_budget_is_the_best_combination(
    points: list[list[tuple[float, float]]], budget: float
) -> None:
    arrays = [np.array(cluster).T for cluster in points]
    found = merged([a[0] for a in arrays], [a[1] for a in arrays])
    affordable = found.cost[found.price <= budget]
    assert (affordable[-1] if len(affordable) else np.inf) == enumerated(points, budget)


@given(clusters)
def test_prices_rise_costs_fall_and_states_add_up_to_them(
    points: list[list[tuple[float, float]]],
) -> None:
    arrays = [np.array(cluster).T for cluster in points]
    found = merged([a[0] for a in arrays], [a[1] for a in arrays])
    assert (np.diff(found.price) > 0).all()
    assert (np.diff(found.cost) < 0).all()
    for price, cost, states in zip(found.price, found.cost, found.states, strict=True):
        chosen = [arrays[i][:, state] for i, state in enumerate(states)]
        assert np.allclose(np.sum(chosen, axis=0) if chosen else 0.0, [price, cost])


def test_what_cannot_be_had_is_left_out() -> None:
    assert undominated(np.array([np.inf, 2.0]), np.array([0.0, 1.0])).tolist() == [1]


@pytest.mark.parametrize("most", [2, 5, 50])
def test_thinning_keeps_both_ends_and_tells_what_it_may_cost(most: int) -> None:
    rng = np.random.default_rng(3)
    prices = [np.array([0.0, price]) for price in rng.uniform(1, 2, 12)]
    costs = [np.array([0.0, -gain]) for gain in rng.uniform(1, 2, 12)]
    whole = merged(prices, costs)
    thin = whole.thinned(most)
    assert len(whole.price) > 50
    assert len(thin.price) <= most
    assert (thin.price[0], thin.price[-1]) == (whole.price[0], whole.price[-1])
    at_or_below = np.searchsorted(thin.price, whole.price, side="right") - 1
    lost = thin.cost[at_or_below] - whole.cost
    assert 0.0 < lost.max() <= thin.within
