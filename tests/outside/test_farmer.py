"""The farmer of Birge & Louveaux under caution, against published values.

Data: Birge & Louveaux, *Introduction to Stochastic Programming*, 2nd ed., section 1.1 (the usual
figures, from memory; the optima below confirm them). Three equally likely futures: yields 20 %
above, at and 20 % below average; 500 acres among wheat, corn and sugar beets.

Published: the least of ``E[cost] + b CVaR`` at level .8 with b = 2 is -220,700 (public repository
Pyomo/mpi-sppy, doc/src/risk_management.rst). With b = 5 the expected cost is about -103,313 and the
worst cost about -57,640 (same repository, mpisppy/tests/test_cvar.py).

The cost is a sum over the crops, so that each crop is a cluster, its acres are the states in steps
of five, and the land is a limit. ``E + b CVaR`` is ``1 + b`` times the attitude of weight
``b / (1 + b)``.
"""

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.valuation.choice.attitude import Attitude
from optioneer.valuation.choice.caution import CautiousChoice, Weighings
from optioneer.valuation.choice.selection import Limit

ACRES = np.arange(0.0, 501.0, 5.0)
YIELDS = np.array([1.2, 1.0, 0.8])
WORST = 0.2
"""One less the level of the published tail mean."""


def fed(planting: float, tons: float, feed: float, *, buy: float, sell: float) -> Floats:
    """Cost of a crop that feeds the cattle, by acres and future: short is bought, more is sold."""
    left = ACRES[:, None] * tons * YIELDS - feed
    cost: Floats = (
        planting * ACRES[:, None] + buy * np.maximum(-left, 0.0) - sell * np.maximum(left, 0.0)
    )
    return cost


def beets() -> Floats:
    """Cost of sugar beets: 36 a ton up to a quota of 6,000 tons, 10 beyond."""
    tons = ACRES[:, None] * 20.0 * YIELDS
    income = 36.0 * np.minimum(tons, 6000.0) + 10.0 * np.maximum(tons - 6000.0, 0.0)
    cost: Floats = 260.0 * ACRES[:, None] - income
    return cost


def farm(weight: float) -> tuple[CautiousChoice, Floats, list[float]]:
    """The best plan, its cost in each future, and its acres."""
    crops = [
        fed(150.0, 2.5, 200.0, buy=238.0, sell=170.0),
        fed(230.0, 3.0, 240.0, buy=210.0, sell=150.0),
        beets(),
    ]
    known = Weighings(crops, np.zeros(3), Attitude(weight, WORST))
    found = known.least([Limit([ACRES] * 3, 500.0)])
    assert found is not None
    assert found.rated - found.bound <= 0.01
    return found, known.cost(found.states), [float(ACRES[state]) for state in found.states]


def test_twice_the_tail_beside_the_mean() -> None:
    found, _, acres = farm(2 / 3)
    assert 3.0 * found.rated == pytest.approx(-220_700.0, abs=0.5)
    assert acres == [100.0, 100.0, 300.0]


def test_five_times_the_tail_beside_the_mean() -> None:
    _, cost, _ = farm(5 / 6)
    assert cost.mean() == pytest.approx(-103_313.0, abs=0.5)
    assert cost.max() == pytest.approx(-57_640.0, abs=0.5)


def test_the_tail_alone_and_the_mean_alone_bound_what_caution_does() -> None:
    # Computed by hand from the same data, not published: the worst cost of (100, 25, 375).
    assert farm(1.0)[0].rated == pytest.approx(-59_950.0, abs=0.5)
    # The mean alone: published optimum -108,390 at (170, 80, 250), section 1.1 of the book.
    found, _, acres = farm(0.0)
    assert found.rated == pytest.approx(-108_390.0, abs=0.5)
    assert acres == [170.0, 80.0, 250.0]
