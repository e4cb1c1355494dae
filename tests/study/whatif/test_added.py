"""What changes add to the numbers at stake, told by hand."""

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.study.whatif.added import AtStake, costs_added, numbers_with
from optioneer.study.whatif.baseline import AdvisedCase, advised_on
from tests.oracle import cases

SWINGS = np.array([300.0, -300.0, 100.0, -100.0])
"""What a change adds in four futures: nothing on average."""

ERROR = float(SWINGS.std(ddof=1) / 2)


@pytest.fixture(scope="module")
def advised() -> AdvisedCase:
    """Two clusters that share a visit, in each an option that is left for a retrofit."""
    return advised_on(cases.shared_visit("default"))


def everywhere(advised: AdvisedCase, piece: int, values: Floats) -> Floats:
    """The same added to each state of a piece."""
    return np.tile(values, (len(advised.means[piece]), 1))


def test_what_is_added_to_every_package_turns_nothing(advised: AdvisedCase) -> None:
    added = {piece: everywhere(advised, piece, SWINGS + 50.0) for piece in (0, 1)}
    found = numbers_with(advised, added)
    rest = [0.0] * len(advised.choices)
    assert found.values - advised.told == pytest.approx([100.0, *rest], abs=1e-6)
    assert found.errors == pytest.approx([2 * ERROR, *rest])
    assert not found.turned.any()
    assert not found.close(advised.told).any()


def test_nothing_added_is_as_in_the_case(advised: AdvisedCase) -> None:
    found = numbers_with(advised, {})
    assert found.values == pytest.approx(advised.told)
    assert not found.errors.any()


def test_what_goes_against_each_other_in_the_same_futures_is_certain(advised: AdvisedCase) -> None:
    both = {0: everywhere(advised, 0, SWINGS), 1: everywhere(advised, 1, -SWINGS)}
    assert numbers_with(advised, both).errors[0] == pytest.approx(0.0)
    other = {**both, 1: everywhere(advised, 1, np.tile(-SWINGS, 2))}  # twice as many futures
    apart = float(np.tile(SWINGS, 2).std(ddof=1) / 8**0.5)
    assert numbers_with(advised, other).errors[0] == pytest.approx((ERROR**2 + apart**2) ** 0.5)


def test_the_other_choice_is_the_best_there_is_once_changed(advised: AdvisedCase) -> None:
    """Dearer by 400 without the option and as it swings: 400 less to choose otherwise."""
    choice = advised.choices[0]
    own = np.where(choice.advised[:, None], SWINGS + 400.0, 0.0)
    found = numbers_with(advised, {choice.cluster: own})
    assert found.values[1] == pytest.approx(advised.told[1] - 400.0)
    assert found.errors[1] == pytest.approx(ERROR)
    much = np.where(choice.advised[:, None], advised.told[1] + 1.0, np.zeros(4))
    turned = numbers_with(advised, {choice.cluster: much})
    assert turned.values[1] == pytest.approx(-1.0)
    assert turned.turned[0]
    assert not turned.turned[1:].any()


@pytest.mark.parametrize(
    ("value", "error", "close"),
    [(199.0, 100.0, [True]), (-199.0, 100.0, [True]), (201.0, 100.0, [False]), (0.0, 0.0, [True])],
)
def test_a_number_is_close_within_two_errors_of_nothing(
    value: float, error: float, close: list[bool]
) -> None:
    found = AtStake(np.array([1e6, value]), np.array([0.0, error]))
    assert found.close(np.array([1e6, 500.0])).tolist() == close


def test_what_does_not_move_is_not_looked_at_again() -> None:
    found = AtStake(np.array([1e6, 0.008]), np.zeros(2))
    assert not found.close(np.array([2e6, 0.008])).any()
    assert found.close(np.array([1e6, 0.5])).all()


def test_what_cannot_be_ordered_adds_nothing() -> None:
    base = np.array([[1.0, 2.0], [np.inf, np.inf]])
    assert costs_added(base + 3.0, base).tolist() == [[3.0, 3.0], [0.0, 0.0]]
