"""Costs against each other on the same futures."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays

from optioneer.arrays import Floats
from optioneer.valuation.figures.paired_comparison import contest, histogram

COSTS = arrays(
    np.float64,
    array_shapes(min_dims=2, max_dims=2, max_side=6),
    elements=st.integers(0, 8).map(float),
)


def test_three_packages_in_four_futures() -> None:
    fares = contest(np.array([[1.0, 5.0, 3.0, 2.0], [2.0, 4.0, 3.0, 6.0], [9.0, 9.0, 9.0, 2.0]]))
    assert fares.chance_best.tolist() == [0.25 + 0.125 + 0.125, 0.25 + 0.125, 0.125]
    assert fares.mean_regret.tolist() == [0.25, 5 / 4, (8 + 5 + 6) / 4]
    assert fares.regret_share.tolist() == [0.25, 0.5, 0.75]


def test_a_difference_below_half_a_cent_is_no_regret() -> None:
    fares = contest(np.array([[1.0], [1.004]]))
    assert fares.chance_best.tolist() == [0.5, 0.5]
    assert fares.regret_share.tolist() == [0.0, 0.0]


@settings(deadline=None)
@given(COSTS)
def test_chances_of_being_best_add_up_to_one_and_regrets_differ_as_the_means_do(
    costs: Floats,
) -> None:
    fares = contest(costs)
    assert fares.chance_best.sum() == pytest.approx(1.0)
    differences = costs.mean(axis=1) - costs[0].mean()
    assert fares.mean_regret - fares.mean_regret[0] == pytest.approx(differences)
    assert (fares.chance_best <= 1.0 - fares.regret_share + 1e-12).all()


@settings(deadline=None)
@given(COSTS)
def test_every_future_is_counted_once(costs: Floats) -> None:
    edges, counts = histogram(costs, 5)
    assert (counts.sum(axis=1) == costs.shape[1]).all()
    assert edges[0] <= costs.min()
    assert edges[-1] >= costs.max()
