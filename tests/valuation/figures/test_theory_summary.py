"""Percentiles and tail means of known distributions; closed forms.

Costs are the distribution's quantiles at the middles of equal shares of probability, so that no
sampling error hides a fault; the tail means err by the last share's width alone.
"""

import numpy as np
import pytest
from scipy.stats import expon, lognorm, norm, sem

from optioneer.arrays import Floats
from optioneer.valuation.figures.summary import spread, standard_error, worst_mean
from optioneer.valuation.worlds.futures import replicate_edges

MIDDLES: Floats = (np.arange(200_000) + 0.5) / 200_000


@pytest.mark.parametrize(
    ("share", "value_at_risk", "tail_mean"),
    [
        (0.10, 1.28155157, 1.75498332),
        (0.05, 1.64485363, 2.06271281),
        (0.01, 2.32634787, 2.66521422),
    ],
)
def test_tail_of_a_normal_cost(share: float, value_at_risk: float, tail_mean: float) -> None:
    # phi(z) / share, z the quantile.
    assert tail_mean == pytest.approx(norm.pdf(value_at_risk) / share, abs=5e-7)
    assert worst_mean(norm.ppf(MIDDLES), share) == pytest.approx(tail_mean, rel=2e-4)


def test_tail_of_an_exponential_cost_is_its_quantile_plus_its_mean() -> None:
    cost = expon.ppf(MIDDLES, scale=4.0)
    assert worst_mean(cost, 0.05) == pytest.approx(11.98292909 + 4.0, rel=2e-4)


def test_tail_of_a_lognormal_cost() -> None:
    # exp(mu + s**2 / 2) Phi(s - z) / share.
    cost = lognorm.ppf(MIDDLES, 0.4, scale=3.0)
    closed = np.exp(np.log(3) + 0.08) * norm.cdf(0.4 - norm.ppf(0.95)) / 0.05
    assert closed == pytest.approx(6.92823479, abs=1e-8)
    assert worst_mean(cost, 0.05) == pytest.approx(6.92823479, rel=2e-4)


def test_spread_of_a_normal_cost() -> None:
    found = spread(np.random.default_rng(1).permutation(norm.ppf(MIDDLES, loc=500.0, scale=20.0)))
    assert found.mean == pytest.approx(500.0, abs=1e-9)
    assert found.p50 == pytest.approx(500.0, abs=1e-3)
    assert found.p90 - found.p50 == pytest.approx(20 * 1.28155157, abs=1e-3)
    assert found.p50 - found.p10 == pytest.approx(20 * 1.28155157, abs=1e-3)
    assert found.worst_tenth == pytest.approx(500 + 20 * 1.75498332, rel=1e-5)


def test_standard_error_of_independent_costs_is_the_usual_one() -> None:
    # Sixteen sets: the estimate has a relative deviation of 1 / sqrt(30), a third at four of them.
    draws = np.random.default_rng(5).normal(0.0, 20.0, (200, 4096))
    squares = np.mean([standard_error(cost) ** 2 for cost in draws])
    assert squares == pytest.approx(400 / 4096, rel=4 * np.sqrt(2 / 15 / 200))


@pytest.mark.parametrize("count", [8, 64, 4096])
def test_the_standard_error_is_that_of_the_mean_of_the_sets(count: int) -> None:
    """Equal sets: the usual estimate from a sample of their means, n - 1 in the denominator."""
    cost = np.random.default_rng(3).normal(500.0, 20.0, count)
    sets = len(replicate_edges(count)) - 1
    means = cost.reshape(sets, -1).mean(axis=1)
    assert standard_error(cost) == pytest.approx(sem(means), rel=1e-12)
