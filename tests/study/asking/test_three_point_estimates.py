"""Three figures from limits, counts and how sure somebody is."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import triang

from optioneer.errors import RequestError
from optioneer.study.asking.three_point_estimates import (
    chance_of_counts,
    standard_limits,
    triangle_of_limits,
)
from optioneer.valuation.worlds.scenario import triangular_share


@given(st.floats(50, 1e6), st.floats(0, 0.4), st.floats(0, 4))
def test_one_time_in_ten_it_is_less_and_one_time_in_ten_more(
    likely: float, below: float, above: float
) -> None:
    low, high = likely * (1 - below), likely * (1 + above)
    told = triangle_of_limits(low, likely, high)
    if told.low > 0.0 and below > 0.001 and above > 0.001:
        bounds = np.array([told.low, told.likely, told.high])
        assert triangular_share(np.array([low, high]), bounds) == pytest.approx(
            [0.1, 0.9], abs=1e-6
        )
        width = told.high - told.low
        reference = triang((told.likely - told.low) / width, loc=told.low, scale=width)
        assert reference.ppf([0.1, 0.9]) == pytest.approx([low, high], rel=1e-6)


def test_a_symmetric_triangle_by_hand() -> None:
    """Its half width is the told one over 1 less the root of a fifth: 1.809 of it."""
    told = triangle_of_limits(90.0, 100.0, 110.0)
    assert told.high - 100.0 == pytest.approx(10.0 / (1.0 - 0.2**0.5))
    assert 100.0 - told.low == pytest.approx(told.high - 100.0)


def test_nothing_earns_less_than_nothing() -> None:
    assert triangle_of_limits(0.0, 1.0, 9.0).low == 0.0


def test_what_does_not_rise_is_refused() -> None:
    with pytest.raises(RequestError, match="do not rise"):
        triangle_of_limits(3.0, 2.0, 4.0)


def test_who_is_half_sure_of_two_limits_gets_wider_ones() -> None:
    """Four steps: 10, 15, 25 with 50 % become, at 80 %, 15 - 5 x 1.6 and 15 + 10 x 1.6."""
    assert standard_limits(10.0, 15.0, 25.0, 0.5) == pytest.approx((7.0, 31.0))
    assert standard_limits(10.0, 15.0, 25.0, 0.8) == pytest.approx((10.0, 25.0))
    with pytest.raises(RequestError, match="1 to 99 percent"):
        standard_limits(10.0, 15.0, 25.0, 1.0)


@pytest.mark.parametrize(("came", "of"), [(0, 10), (4, 10), (10, 10), (1, 1)])
def test_counts_follow_the_rule_of_succession(came: int, of: int) -> None:
    told = chance_of_counts(came, of)
    assert told.likely == pytest.approx((came + 1) / (of + 2), abs=0.02)
    assert 0.0 <= told.low <= told.likely <= told.high <= 1.0


def test_no_more_can_have_come_than_were_counted() -> None:
    with pytest.raises(RequestError, match="11 of 10 is no count"):
        chance_of_counts(11, 10)
