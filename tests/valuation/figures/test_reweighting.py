"""Weights that lean towards another value of a figure."""

import numpy as np
import pytest

from optioneer.study.worth.valued_case import valued_case
from optioneer.valuation.figures.reweighting import (
    chance_given_drivers,
    chance_weights,
    due,
    moved_weights,
)
from tests.study.unknowns.test_worth_of_knowing import driven, now_or_never

RANDOM = np.random.default_rng(3)


def test_a_parabola_is_followed_exactly() -> None:
    x = RANDOM.uniform(1.0, 3.0, 200)
    weights = moved_weights(x, x + 0.5, np.empty((0, 200)), np.ones(200, dtype=bool))
    assert weights is not None
    assert weights.sum() == pytest.approx(1.0)
    for cost, moved in ((x, x + 0.5), (x**2, (x + 0.5) ** 2)):
        assert weights @ cost == pytest.approx(moved.mean())


def test_what_goes_with_it_stays() -> None:
    driver = RANDOM.normal(size=4000)
    x = driver + RANDOM.normal(size=4000)
    weights = moved_weights(x, x + 1.0, driver[None], np.ones(4000, dtype=bool))
    assert weights is not None
    assert weights @ (3.0 * driver) == pytest.approx(3.0 * driver.mean(), abs=1e-9)


def test_a_figure_that_never_differs_tells_nothing() -> None:
    same = np.full(100, 7.0)
    everywhere = np.ones(100, dtype=bool)
    assert moved_weights(same, same + 1.0, np.empty((0, 100)), everywhere) is None


@pytest.mark.parametrize("chance", [0.1, 0.35, 0.8])
def test_under_another_chance_work_comes_as_often_as_it_says(chance: float) -> None:
    world = valued_case(now_or_never()).world
    weights = chance_weights(world.growth, world.valued, 0, chance)
    assert weights is not None
    comes = due(world.growth, world.valued, 0)
    assert weights @ comes == pytest.approx(chance, abs=0.002)


def test_another_chance_moves_no_driver_and_no_other_work() -> None:
    world = valued_case(driven()).world
    weights = chance_weights(world.growth, world.valued, 0, 0.6)
    assert weights is not None
    assert weights @ due(world.growth, world.valued, 0) == pytest.approx(0.6, abs=0.02)
    assert weights @ due(world.growth, world.valued, 1) == pytest.approx(0.4, abs=0.02)
    assert weights @ world.valued.drivers[0] == pytest.approx(0.0, abs=0.05)


def test_given_drivers_a_chance_averages_to_itself() -> None:
    world = valued_case(driven()).world
    given = chance_given_drivers(world.growth, world.valued, 0, 0.4)
    assert given.mean() == pytest.approx(0.4, abs=0.005)
    assert given.min() < 0.1
    assert given.max() > 0.7


def test_work_that_is_certain_tells_nothing_of_a_lower_chance() -> None:
    world = valued_case(now_or_never(1.0)).world
    assert chance_weights(world.growth, world.valued, 0, 0.9) is None
