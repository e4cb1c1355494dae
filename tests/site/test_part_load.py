"""Mean power of a load-and-idle compressor against its power, second by second."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as some

from optioneer.site.air import part_load_kw

STEPS = 10_000


def second_by_second(load: float, unloaded: float, blowdown: float, cycle: float) -> float:
    """Power falls in a straight line once idle; midpoints of steps of the fall and of the rest."""
    idle = cycle * (1 - load)
    edges = np.unique([0.0, min(blowdown, idle), idle])
    each = [np.linspace(*spell, STEPS + 1) for spell in pairwise(edges)]
    times = np.unique(np.concatenate(each))
    since, width = (times[1:] + times[:-1]) / 2, np.diff(times)
    fallen = np.minimum(since / blowdown, 1.0) if blowdown else np.ones(len(since))
    power = np.sum(width * (1 - (1 - unloaded) * fallen)) / idle
    return float(10 * (load + (1 - load) * power))


@given(
    some.floats(0.01, 0.99),
    some.floats(0.0, 1.0),
    some.just(0.0) | some.floats(1e-6, 3.0),
    some.floats(0.05, 20.0),
)
@example(0.01, 0.0, 1e-6, 0.05)  # even steps did not see so short a fall
def test_the_mean_is_that_of_the_falling_line(
    load: float, unloaded: float, blowdown: float, cycle: float
) -> None:
    found = part_load_kw(
        10.0, load=load, unloaded_share=unloaded, blowdown_min=blowdown, cycle_min=cycle
    )
    seen = second_by_second(load, unloaded, blowdown, cycle)
    assert found == pytest.approx(seen, rel=1e-3)


@pytest.mark.parametrize("cycle", [0.0, 2.0, math.inf])
def test_without_a_receiver_or_without_an_end_the_idle_power_is_the_unloaded_one(
    cycle: float,
) -> None:
    found = part_load_kw(10.0, load=0.4, unloaded_share=0.3, blowdown_min=0.0, cycle_min=cycle)
    assert found == pytest.approx(10 * (0.4 + 0.6 * 0.3))


def test_a_compressor_that_is_always_loaded_draws_all_of_its_power() -> None:
    found = part_load_kw(10.0, load=1.0, unloaded_share=0.3, blowdown_min=0.5, cycle_min=math.inf)
    assert found == 10.0
