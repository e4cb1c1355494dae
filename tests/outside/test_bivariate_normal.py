"""Streams that share a driver against published values of the bivariate normal distribution.

E. G. Haug, The Complete Guide to Option Pricing Formulas, McGraw-Hill 1998, p. 193 (table of the
cumulative bivariate normal distribution, 6 decimals), as quoted in the test suite of QuantLib,
test-suite/distributions.cpp.

Two streams with chances Phi(a) and Phi(b) and loadings whose product is rho show up together with
probability Phi_2(a, b; rho). Tolerance: the digits printed plus four standard errors of the draws.
"""

import numpy as np
import pytest
from scipy.special import ndtr

from optioneer.valuation.figures.summary import standard_error
from tests.valuation.worlds.streams import clock, drawn, growth_of

TABLE = [
    (0.0, 0.0, 0.5, 0.333333),
    (0.0, 0.0, -0.5, 0.166667),
    (0.0, -0.5, 0.0, 0.154269),
    (0.0, -0.5, -0.5, 0.081660),
    (0.0, -0.5, 0.5, 0.226878),
    (0.0, 0.5, 0.0, 0.345731),
    (0.0, 0.5, -0.5, 0.273122),
    (0.0, 0.5, 0.5, 0.418340),
    (-0.5, -0.5, 0.0, 0.095195),
    (-0.5, -0.5, -0.5, 0.036298),
    (-0.5, -0.5, 0.5, 0.163319),
    (-0.5, 0.5, 0.0, 0.213342),
    (-0.5, 0.5, -0.5, 0.145218),
    (-0.5, 0.5, 0.5, 0.272239),
]


@pytest.mark.parametrize(("a", "b", "rho", "value"), TABLE)
def test_two_streams_show_up_together(a: float, b: float, rho: float, value: float) -> None:
    growth = growth_of(
        chance=ndtr(np.array([a, b])), years=np.zeros(3), loadings=np.array([[0.8], [rho / 0.8]])
    )
    arrival = drawn(growth, clock(1.0, 1), count=32768).arrival
    both = (arrival == 0).all(axis=0).astype(float)
    room = 4 * standard_error(both)
    assert room < 0.004
    assert both.mean() == pytest.approx(value, abs=room + 5e-7)
