"""The margin of work period by period and in all, against a loop over every single future."""

from dataclasses import replace

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.valuation.worlds.futures import (
    REPLICATES,
    Futures,
    drawn_futures,
    margin_in,
    margin_in_all,
    replicate_edges,
)
from optioneer.valuation.worlds.scenario import Growth
from tests.valuation.worlds.streams import clock, growth_of

CLOCK = clock(5.0, 4, rate=0.12, lead=0.7)
LASTS = (np.array([0.5, 1.0, 4.0]), np.array([1.0, 2.0, 3.0]))
STAY = np.array([1.5, 4.0, 6.0])
SCENARIOS = ("certain", "swinging", "ending", "swinging and ending")


def growth(scenario: str) -> Growth:
    """Two streams that grow, and swing or end as told."""
    swing = 0.4 if "swinging" in scenario else 0.0
    made = growth_of(
        chance=[0.9, 0.6], years=np.array([0.0, 1.0, 4.5]), grows=0.05, swing=swing, lasts=9
    )
    made = replace(made, margin=np.array([[1e3, 2e3, 6e3], [5e2, 5e2, 5e2]]))
    return replace(made, lasts=LASTS, stay=STAY) if "ending" in scenario else made


def drawn(scenario: Growth) -> Futures:
    """Some futures of it."""
    return drawn_futures(scenario, CLOCK, options=("a",), count=64, seed=5, use=0)


def slow(made: Growth, futures: Futures, stream: int) -> Floats:
    """Margin per year by period and future, shape (T, N), one number after the other."""
    found = np.zeros((CLOCK.periods, futures.count))
    path = futures.log_swing[stream]
    for n in range(futures.count):
        first = int(futures.arrival[stream, n])
        life = int(futures.life[stream, n]) if futures.life.size else int(made.life[stream])
        stay = int(futures.stay[n]) if futures.stay.size else CLOCK.periods
        for t in range(first, min(first + life, stay, CLOCK.periods)):
            margin = futures.level[stream, n] * (1 + made.growth[stream]) ** (t * CLOCK.dt)
            if path is not None:
                margin *= np.exp(path[t, n]) / np.exp(path[first, n])
            found[t, n] = margin
    return found


@pytest.mark.parametrize("scenario", SCENARIOS)
def test_margins_are_those_of_a_loop_over_every_future(scenario: str) -> None:
    made = growth(scenario)
    futures = drawn(made)
    assert all((path is not None) == ("swinging" in scenario) for path in futures.log_swing)
    discounted = CLOCK.during * CLOCK.dt
    for stream in range(2):
        expected = slow(made, futures, stream)
        assert (expected > 0).any()
        for t in range(CLOCK.periods):
            now = margin_in(made, CLOCK, futures, stream=stream, period=t)
            assert now == pytest.approx(expected[t], rel=1e-12)
        whole = margin_in_all(made, CLOCK, futures, stream=stream)
        assert whole == pytest.approx(discounted @ expected, rel=1e-10, abs=1e-9)


@pytest.mark.parametrize("scenario", SCENARIOS)
def test_draws_under_other_figures_are_those_drawn_with_them(scenario: str) -> None:
    made = growth(scenario)
    other = replace(made, chance=np.array([0.7, 0.9]), years=made.years + 0.5)
    if "ending" in scenario:
        other = replace(other, stay=np.array([1.0, 2.0, 3.0]), lasts=LASTS[::-1])
    moved, anew = drawn(made).arriving(other, CLOCK), drawn(other)
    assert np.array_equal(moved.arrival, anew.arrival)
    assert np.array_equal(moved.life, anew.life)
    assert np.array_equal(moved.stay, anew.stay)


def test_a_sale_that_becomes_known_is_one_in_every_future() -> None:
    made = growth("certain")
    moved = drawn(made).arriving(replace(made, stay=np.array([2.0, 2.0, 2.0])), CLOCK)
    assert (moved.stay == 8).all()
    assert moved.stay.shape == (64,)


@pytest.mark.parametrize("count", [8, 9, 11, 12, 15, 31, 63, 64, 65, 1000, 4096])
def test_every_replicate_is_worth_the_name_of_a_sample(count: int) -> None:
    sizes = np.diff(replicate_edges(count))
    assert sizes.sum() == count
    assert sizes.min() >= 4
    assert len(sizes) == min(REPLICATES, count // 4)
    assert np.ptp(sizes) <= 1
