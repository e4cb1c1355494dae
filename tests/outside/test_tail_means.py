"""Conditional value at risk against published values.

Rockafellar & Uryasev, "Optimization of conditional value-at-risk", Journal of Risk 2 (2000) 21-41,
section 3, Tables 1-3: a portfolio of three assets, normal losses. Tolerance: the digits printed.

Discrete costs 10, 20, 30, 40 at level .6: the test of a tail-mean function in the public repository
Pyomo/mpi-sppy, mpisppy/tests/test_cvar.py. Exact.
"""

import numpy as np
import pytest
from scipy.stats import norm

from optioneer.arrays import Floats
from optioneer.valuation.choice.attitude import Attitude
from optioneer.valuation.figures.summary import spread, worst_mean

RETURNS = np.array([0.0101110, 0.0043532, 0.0137058])
COVARIANCE = np.array(
    [
        [0.00324625, 0.00022983, 0.00420395],
        [0.00022983, 0.00049937, 0.00019247],
        [0.00420395, 0.00019247, 0.00764097],
    ]
)
PUBLISHED_WEIGHTS = [0.452013, 0.115573, 0.432414]
"""Table 1: the portfolio of least variance with a mean return of .011."""


def weights() -> Floats:
    """The same to all digits: the multipliers' linear equations solved."""
    sides = np.array([np.ones(3), RETURNS])
    equations = np.block([[COVARIANCE, sides.T], [sides, np.zeros((2, 2))]])
    return np.linalg.solve(equations, np.array([0.0, 0.0, 0.0, 1.0, 0.011]))[:3]


@pytest.fixture(scope="module")
def losses() -> Floats:
    """Quantiles of the portfolio's loss at the middles of 200,000 equal shares."""
    share = weights()
    assert share == pytest.approx(PUBLISHED_WEIGHTS, abs=2e-6)
    deviation = np.sqrt(share @ COVARIANCE @ share)
    middles = (np.arange(200_000) + 0.5) / 200_000
    return np.asarray(norm.ppf(middles, loc=-(share @ RETURNS), scale=deviation))


@pytest.mark.parametrize(("beta", "cvar"), [(0.90, 0.096975), (0.95, 0.115908), (0.99, 0.152977)])
def test_portfolio_of_three_assets(losses: Floats, beta: float, cvar: float) -> None:
    assert worst_mean(losses, 1 - beta) == pytest.approx(cvar, abs=5e-6)
    assert Attitude(1.0, 1 - beta).rating(losses) == pytest.approx(cvar, abs=5e-6)


def test_the_ninetieth_percentile_and_worst_tenth_that_are_reported(losses: Floats) -> None:
    found = spread(losses)
    assert found.p90 == pytest.approx(0.067847, abs=2e-6)
    assert found.worst_tenth == pytest.approx(0.096975, abs=2e-6)


def test_four_costs_at_level_six_tenths() -> None:
    cost = np.array([30.0, 10.0, 40.0, 20.0])
    assert worst_mean(cost, 0.4) == pytest.approx(36.25, abs=1e-12)
    assert Attitude(1.0, 0.4).rating(cost) == pytest.approx(36.25, abs=1e-12)


def test_the_cheap_end_of_four_costs() -> None:
    cost = np.array([30.0, 10.0, 40.0, 20.0])
    assert -worst_mean(-cost, 0.4) == pytest.approx(13.75, abs=1e-12)


def test_normal_exponential_and_lognormal_tails() -> None:
    """Closed forms, standard: phi(z) / (1-a); VaR + 1/rate; e^(mu + s^2/2) Phi(s - z) / (1-a)."""
    middles = (np.arange(400_000) + 0.5) / 400_000
    cautious = Attitude(1.0, 0.05)
    normal = np.asarray(norm.ppf(middles))
    assert cautious.rating(normal) == pytest.approx(2.06271281, rel=1e-4)
    assert cautious.rating(-np.log(1.0 - middles) / 0.25) == pytest.approx(15.98292909, rel=1e-4)
    assert cautious.rating(3.0 * np.exp(0.4 * normal)) == pytest.approx(6.92823479, rel=1e-4)
