"""What knowing is worth, and what planning on averages costs, against published examples.

The farmer: J. R. Birge & F. Louveaux, *Introduction to Stochastic Programming*, 2nd ed., Springer
2011, ch. 1 and sections 4.1-4.2, pp. 163-165; figures also in the public test suites of Pyomo's
mpi-sppy (doc/src/vss.rst) and StochasticPrograms.jl (test/problems/farmer.jl, to two decimals). The
engine chooses among packages, so the farmer chooses among the published plans; what a plan brings
in a year is sums of sales and purchases. Published figures are rounded to whole units.

Plant sizes: decision-table exercises as they stand in course texts (coursehero.com 8871057;
homeworksource.com 1012421).
"""

from collections.abc import Sequence

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.valuation.choice.selection import cheapest
from optioneer.valuation.figures.information import Knowledge, informed_cost

PLANS = {
    "recourse": (170.0, 80.0, 250.0),
    "average year": (120.0, 80.0, 300.0),
    "good year": (550 / 3, 200 / 3, 250.0),
    "bad year": (100.0, 25.0, 375.0),
}
"""Acres of wheat, corn and sugar beets."""

YEARS = {"good": 1.2, "average": 1.0, "bad": 0.8}

TIMES = 160
"""Each year is one future in as many: with so many the plan is chosen and valued on other ones."""


def cost(plan: Sequence[float], yields: float) -> float:
    """Planting, purchases less sales of one plan in one year."""
    wheat, corn, beets = (
        acres * tons * yields for acres, tons in zip(plan, (2.5, 3.0, 20.0), strict=True)
    )
    planting = float(np.dot(plan, (150.0, 230.0, 260.0)))
    of_wheat = 238.0 * max(200.0 - wheat, 0.0) - 170.0 * max(wheat - 200.0, 0.0)
    of_corn = 210.0 * max(240.0 - corn, 0.0) - 150.0 * max(corn - 240.0, 0.0)
    return planting + of_wheat + of_corn - 36.0 * min(beets, 6000.0) - 10.0 * max(beets - 6000.0, 0)


COSTS = np.array([[cost(plan, yields) for yields in YEARS.values()] for plan in PLANS.values()])


def known(costs: Floats) -> float:
    """Mean cost when the future is told before choosing, each equally likely."""
    told = np.tile(np.arange(costs.shape[1]), TIMES)
    (best,) = cheapest([costs.mean(axis=1)], [])  # type: ignore[misc]  # there is always one
    found = informed_cost(
        [costs[:, told]],
        Knowledge(told),
        lambda means: (int(means[0].argmin()),),
        otherwise=(best,),
    )
    return float(found.mean())


def test_the_farmer_plants_for_all_years() -> None:
    (best,) = cheapest([COSTS.mean(axis=1)], [])  # type: ignore[misc]  # there is always one
    assert list(PLANS)[best] == "recourse"
    assert COSTS[best].mean() == pytest.approx(-108_390, abs=0.5)


def test_the_farmer_told_the_year() -> None:
    assert known(COSTS) == pytest.approx(-115_405.5556, abs=1e-3)
    assert COSTS.min(axis=0) == pytest.approx([-167_667, -118_600, -59_950], abs=0.5)


def test_what_perfect_information_is_worth_to_the_farmer() -> None:
    assert COSTS.mean(axis=1).min() - known(COSTS) == pytest.approx(7015.56, abs=0.005)


def test_what_planning_on_the_average_year_costs_the_farmer() -> None:
    average = COSTS[list(PLANS).index("average year")]
    assert average[list(YEARS).index("average")] == pytest.approx(-118_600)
    assert average.mean() == pytest.approx(-107_240)
    assert average.mean() - COSTS.mean(axis=1).min() == pytest.approx(1_150)


TABLES = {
    # profit of small, large, nothing by market; how often of ten; the best plan's mean; told
    "halves": ([[200e3, -180e3], [100e3, -20e3], [0, 0]], (5, 5), 40e3, 100e3),
    "two fifths": ([[100e3, -15e3], [420e3, -300e3], [0, 0]], (4, 6), 31e3, 168e3),
}


@pytest.mark.parametrize("name", TABLES)
def test_plants_of_several_sizes(name: str) -> None:
    profits, often, best, told = TABLES[name]
    costs = -np.repeat(np.array(profits), often, axis=1)
    assert -costs.mean(axis=1).min() == pytest.approx(best)
    # The market is told, not which of the ten futures it is.
    markets = np.tile(np.repeat(np.arange(len(often)), often), TIMES)
    found = informed_cost(
        [np.tile(costs, TIMES)],
        Knowledge(markets),
        lambda means: (int(means[0].argmin()),),
        otherwise=(0,),
    )
    assert -found.mean() == pytest.approx(told)
    assert -found.mean() - best == pytest.approx(told - best)
