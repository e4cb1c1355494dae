"""Where a curve changes its sign."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optioneer.valuation.choice.turning import TurnSearch, nearest_turn

UNIT = TurnSearch(here=1.0, low=0.0, high=4.0, steps=16, close=0.001)


def line(root: float, slope: float = 1000.0) -> Callable[[float], float]:
    return lambda x: slope * (x - root)


@pytest.mark.parametrize("root", [0.1, 0.99, 1.3, 3.9])
@pytest.mark.parametrize("slope", [1000.0, -1000.0])
def test_a_turn_on_either_side_is_found(root: float, slope: float) -> None:
    curve = line(root, slope)
    assert nearest_turn(curve, curve, UNIT) == pytest.approx(root, abs=0.001)


def test_a_curve_that_keeps_its_sign_never_turns() -> None:
    for curve in (line(-1.0), line(9.0), lambda _: 5.0):
        assert nearest_turn(curve, curve, UNIT) is None


def test_of_two_turns_the_nearer_one_counts() -> None:
    def hill(x: float) -> float:
        return 1000.0 * (x - 0.5) * (1.2 - x)

    assert nearest_turn(hill, hill, UNIT) == pytest.approx(1.2, abs=0.001)


def test_touching_nothing_is_no_turn() -> None:
    def flat(x: float) -> float:
        return 1000.0 * max(x - 0.5, 0.0)

    assert nearest_turn(flat, flat, UNIT) is None


def test_where_nothing_tells_the_choices_apart_they_turn_here() -> None:
    assert nearest_turn(line(1.0), line(1.0), UNIT) == 1.0


@given(st.floats(0.05, 3.95), st.floats(0.05, 3.95), st.floats(-300, 300))
def test_a_rough_curve_only_guides_the_search(root: float, wrong: float, lift: float) -> None:
    """Whatever the rough curve says, what is found is a turn of the exact one."""

    def rough(x: float) -> float:
        return 700.0 * math.tanh(x - wrong) + lift

    found = nearest_turn(line(root), rough, UNIT)
    assert found is None or found == pytest.approx(root, abs=0.001)


@pytest.mark.parametrize("slope", [900.0, 1100.0])
def test_a_rough_curve_that_is_a_little_off_still_leads_there(slope: float) -> None:
    """It turns at 2.33 or at 2.09, seen from where both stand."""
    looked: list[float] = []

    def exact(x: float) -> float:
        looked.append(x)
        return line(2.2)(x)

    assert nearest_turn(exact, line(2.2, slope), UNIT) == pytest.approx(2.2, abs=0.001)
    assert len(looked) <= 16
