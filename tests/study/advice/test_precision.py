"""How many futures a wanted precision takes."""

import pytest
from scipy.stats import t as student

from optioneer.study.advice.request import Aim, half_interval
from tests import shop


@pytest.mark.parametrize("times", [2.0, 3.0, 10.0])
def test_an_interval_of_half_the_width_takes_four_times_the_futures(times: float) -> None:
    """The error of a mean falls with the root of the sample: common practice."""
    answer = shop.advice()
    aim = Aim(half_interval(answer) / times)
    assert aim.likely_futures(answer) == pytest.approx(times**2 * answer.futures, abs=1)


def test_nineteen_intervals_in_twenty_hold_the_cost() -> None:
    """The error comes from sixteen sets: Student's t with 15 degrees of freedom."""
    advised = shop.advice().advised
    half = half_interval(shop.advice()) * advised.npc / advised.npc_se
    assert half == pytest.approx(student.ppf(0.975, 15), rel=1e-12)


def test_an_aim_is_reached_at_its_own_width_and_not_before() -> None:
    answer = shop.advice()
    assert Aim(half_interval(answer)).is_reached(answer)
    assert not Aim(half_interval(answer) * 0.999).is_reached(answer)
