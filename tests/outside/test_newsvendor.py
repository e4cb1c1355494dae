"""The newsvendor through percentiles and tail means.

L. V. Snyder & Z.-J. M. Shen, *Fundamentals of Supply Chain Theory*, Example 4.3, as worked in the
public library stockpyl (README and docs/tutorial/tutorial_seio.rst), to all digits shown there.

With a holding cost h and a stock-out cost p a unit the best order is the demand's p / (p + h)
quantile, and its expected cost is h times what the mean of the demand's largest h / (p + h) lies
above the mean demand (R. T. Rockafellar & S. Uryasev, Journal of Risk 2 (2000), section 2).
"""

import numpy as np
import pytest
from scipy.stats import norm

from optioneer.arrays import Floats
from optioneer.valuation.figures.summary import spread, worst_mean

MIDDLES = (np.arange(200_000) + 0.5) / 200_000


def demand(mean: float, deviation: float) -> Floats:
    """Normal demand at the middles of equal shares."""
    return np.asarray(norm.ppf(MIDDLES, loc=mean, scale=deviation))


@pytest.mark.parametrize(
    ("h", "p", "about", "cost"),
    [(0.18, 0.70, (50.0, 8.0), 1.9976051931766445), (2.0, 18.0, (120.0, 10.0), 35.09966638649737)],
)
def test_least_expected_cost(h: float, p: float, about: tuple[float, float], cost: float) -> None:
    drawn = demand(*about)
    assert h * (worst_mean(drawn, h / (p + h)) - drawn.mean()) == pytest.approx(cost, rel=1e-5)


def test_the_best_order_at_nine_tenths_is_the_ninetieth_percentile() -> None:
    assert spread(demand(120.0, 10.0)).p90 == pytest.approx(132.815515655446, abs=1e-3)
