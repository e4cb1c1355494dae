"""Where of two choices the other becomes the cheaper one."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optioneer.arrays import Bools, Floats
from optioneer.valuation.choice.turning import TurnSearch, nearest_turn

UNIT = TurnSearch(here=1.0, low=0.0, high=4.0, steps=16, close=0.001)

Curve = Callable[[float], float]


def line(root: float, slope: float = 1000.0) -> Curve:
    return lambda x: slope * (x - root)


def turn(exact: Curve, rough: Curve | None = None, search: TurnSearch = UNIT) -> float | None:
    """Of two packages, one costs so much and the other nothing."""

    def costs(x: float, _: Bools | None = None) -> Floats:
        return np.array([exact(x), 0.0])

    def guess(x: float) -> Floats:
        return np.array([(rough or exact)(x), 0.0])

    one = np.array([True, False])
    return nearest_turn(costs, None if rough is None else guess, search, one)


@pytest.mark.parametrize("root", [0.1, 0.99, 1.3, 3.9])
@pytest.mark.parametrize("slope", [1000.0, -1000.0])
def test_a_turn_on_either_side_is_found(root: float, slope: float) -> None:
    assert turn(line(root, slope)) == pytest.approx(root, abs=0.001)


def test_a_curve_that_keeps_its_sign_never_turns() -> None:
    for curve in (line(-1.0), line(9.0), lambda _: 5.0):
        assert turn(curve) is None


def test_of_two_turns_the_nearer_one_counts() -> None:
    def hill(x: float) -> float:
        return 1000.0 * (x - 0.5) * (1.2 - x)

    assert turn(hill) == pytest.approx(1.2, abs=0.001)


def test_a_turn_and_its_return_are_found_where_the_ends_tell_nothing() -> None:
    """It dips below 0 from 2.2 to 3.0, between the middle of the way and its end."""

    def dip(x: float) -> float:
        return 1000.0 * (x - 2.2) * (x - 3.0)

    assert turn(dip) == pytest.approx(2.2, abs=0.001)


def test_touching_nothing_is_no_turn() -> None:
    def flat(x: float) -> float:
        return 1000.0 * max(x - 0.5, 0.0)

    assert turn(flat) is None


def test_where_nothing_tells_the_choices_apart_they_turn_here() -> None:
    assert turn(line(1.0)) == 1.0


@given(st.floats(0.05, 3.95), st.floats(0.05, 3.95), st.floats(-300, 300))
def test_a_rough_curve_only_guides_the_search(root: float, wrong: float, lift: float) -> None:
    """Whatever the rough curve says, what is found is a turn of the exact one."""

    def rough(x: float) -> float:
        return 700.0 * math.tanh(x - wrong) + lift

    found = turn(line(root), rough)
    assert found is None or found == pytest.approx(root, abs=0.001)


@pytest.mark.parametrize("slope", [900.0, 1100.0])
def test_a_rough_curve_that_is_a_little_off_still_leads_there(slope: float) -> None:
    """It turns at 2.33 or at 2.09, seen from where both stand."""
    looked: list[float] = []

    def exact(x: float) -> float:
        looked.append(x)
        return line(2.2)(x)

    assert turn(exact, line(2.2, slope)) == pytest.approx(2.2, abs=0.001)
    assert len(looked) <= 5


def test_of_each_choice_what_is_cheapest_there_counts() -> None:
    """One choice has a package that is cheap early and one that is cheap late, the other 1,000."""

    def costs(x: float, _: Bools | None = None) -> Floats:
        return np.array([400.0 * x, 1900.0 - 300.0 * x, 1000.0])

    one = np.array([True, True, False])
    for rough in (None, costs):
        assert nearest_turn(costs, rough, UNIT, one) == pytest.approx(2.5, abs=0.001)


def test_only_packages_that_may_be_the_best_at_the_turn_are_valued_exactly() -> None:
    """The rough costs are off by 10 and tell the last package 500 dearer there: it is left out."""
    asked: list[list[bool]] = []

    def rough(x: float) -> Floats:
        return np.array([1000.0 * x, 2200.0, 2700.0])

    def exact(x: float, among: Bools) -> Floats:
        asked.append(among.tolist())
        return np.asarray(rough(x) + np.array([10.0, 0.0, 5.0]))

    one = np.array([True, False, False])
    assert nearest_turn(exact, rough, UNIT, one) == pytest.approx(2.19, abs=0.001)
    assert asked[0] == [True, True, True]
    assert all(each == [True, True, False] for each in asked[1:])
