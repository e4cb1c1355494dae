"""Two rates that lie close together are both found, and a monthly loan is monthly in February."""

from datetime import date

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as some

from optioneer.arrays import Floats
from optioneer.money.actuarial import UnitPeriod, unit_period
from optioneer.money.rates import internal_rates
from optioneer.money.roots import roots
from optioneer.money.tax import declining_balance


def flows(first: float, second: float) -> list[float]:
    """Flows at years 0, 1 and 2 that are worth nothing at two rates, and at no other."""
    a, b = 1 + first, 1 + second
    return [-100.0, 100.0 * (a + b), -100.0 * a * b]


@pytest.mark.parametrize("apart", [0.03, 0.013, 0.005, 1e-3, 1e-5])
def test_two_rates_close_together_are_both_found(apart: float) -> None:
    found = internal_rates([0, 1, 2], flows(0.05, 0.05 + apart))
    assert found == pytest.approx([0.05, 0.05 + apart], abs=1e-8)


def test_roots_on_neighbouring_points_of_the_grid_are_found_once_each() -> None:
    for places in ([1.0, 2.0], [0.0, 1.0, 2.0], [1.0, 2.0, 2.5], [0.0, 3.0]):

        def curve(x: Floats, places: list[float] = places) -> Floats:
            return np.asarray(np.prod([x - place for place in places], axis=0))

        assert roots(curve, np.arange(4.0)) == pytest.approx(tuple(places))


@given(some.floats(-0.5, 1.0), some.floats(1e-4, 0.5))
@example(0.0, 0.0078125)  # nothing is owed for a loan without interest: a point that is scanned
@example(-0.0078125, 0.0078125)
@example(float(np.expm1(49 * np.log(1e6) / 1000)), 0.0010580287157678698)
@settings(max_examples=60, deadline=None)
def test_any_two_rates_are_found(first: float, apart: float) -> None:
    found = internal_rates([0, 1, 2], flows(first, first + apart))
    assert found == pytest.approx([first, first + apart], rel=1e-6, abs=1e-7)


def test_a_rate_that_only_just_balances_is_one_rate() -> None:
    assert internal_rates([0, 1, 2], [-100, 220, -121]) == pytest.approx([0.10], abs=1e-6)
    assert internal_rates([0, 1, 2], [-100, 200, -100]) == pytest.approx([0.0])
    assert internal_rates([0, 1, 2], [-100, 220, -121.01]) == ()


def test_three_monthly_instalments_over_a_short_february_are_monthly() -> None:
    """Both 18 January to 15 February and 15 February to 15 March are 28 days."""
    due = [date(2027, 2, 15), date(2027, 3, 15), date(2027, 4, 15)]
    assert unit_period([date(2027, 1, 18)], due) == UnitPeriod("months")


def test_four_weekly_instalments_over_a_short_february_stay_four_weekly() -> None:
    due = [date(2027, 2, 15), date(2027, 3, 15), date(2027, 4, 12)]
    assert unit_period([date(2027, 1, 15)], due) == UnitPeriod("weeks", 4)


@given(some.integers(1, 50), some.floats(1.01, 3.0), some.sampled_from([1 / 12, 0.25, 0.5, 1.0]))
def test_a_declining_balance_never_deducts_more_than_the_price(
    years: int, factor: float, first: float
) -> None:
    shares = declining_balance(years, factor, first)
    assert all(0 <= share <= 1 for share in shares)
    assert sum(shares) == pytest.approx(1.0)


def test_a_declining_rate_above_the_life_writes_it_off_at_once() -> None:
    assert declining_balance(2, 3.0) == pytest.approx((1.0, 0.0))
    assert declining_balance(1, 2.0, 0.5) == pytest.approx((0.5, 0.5))
