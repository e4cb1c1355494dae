"""Mean power of a load-and-idle compressor against its power, second by second."""

import math

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as some

from optioneer.site.air import part_load_kw

STEPS = 20_000

UNSEEN = 10.0 / STEPS
"""Power of a fall that is shorter than a step, which steps do not see [kW]."""


def second_by_second(load: float, unloaded: float, blowdown: float, cycle: float) -> float:
    """Power falls in a straight line once idle; midpoints of many steps of the idle spell."""
    idle = cycle * (1 - load)
    since = (np.arange(STEPS) + 0.5) / STEPS * idle
    fallen = np.minimum(since / blowdown, 1.0) if blowdown else 1.0
    return float(10 * (load + (1 - load) * np.mean(1 - (1 - unloaded) * fallen)))


@given(
    some.floats(0.01, 0.99),
    some.floats(0.0, 1.0),
    some.just(0.0) | some.floats(1e-6, 3.0),
    some.floats(0.05, 20.0),
)
@example(0.01, 0.0, 1e-6, 0.05)  # shorter than a step
def test_the_mean_is_that_of_the_falling_line(
    load: float, unloaded: float, blowdown: float, cycle: float
) -> None:
    found = part_load_kw(
        10.0, load=load, unloaded_share=unloaded, blowdown_min=blowdown, cycle_min=cycle
    )
    seen = second_by_second(load, unloaded, blowdown, cycle)
    assert found == pytest.approx(seen, rel=1e-3, abs=UNSEEN)


@pytest.mark.parametrize("cycle", [0.0, 2.0, math.inf])
def test_without_a_receiver_or_without_an_end_the_idle_power_is_the_unloaded_one(
    cycle: float,
) -> None:
    found = part_load_kw(10.0, load=0.4, unloaded_share=0.3, blowdown_min=0.0, cycle_min=cycle)
    assert found == pytest.approx(10 * (0.4 + 0.6 * 0.3))


def test_a_compressor_that_is_always_loaded_draws_all_of_its_power() -> None:
    found = part_load_kw(10.0, load=1.0, unloaded_share=0.3, blowdown_min=0.5, cycle_min=math.inf)
    assert found == 10.0
