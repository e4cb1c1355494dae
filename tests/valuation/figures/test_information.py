"""Choosing with more known: worked by hand, and not inflated where there is nothing to know."""

from collections.abc import Sequence

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.valuation.figures.information import (
    Knowledge,
    informed_cost,
    thirds,
    whether_and_when,
)


def best(means: Sequence[Floats]) -> tuple[int, ...]:
    return tuple(int(mean.argmin()) for mean in means)


def test_knowing_which_state_is_cheap_takes_the_cheap_one() -> None:
    told = np.arange(64) % 2
    cost = np.array([np.where(told, 9.0, 1.0), np.where(told, 2.0, 8.0)])
    found = informed_cost([cost, cost + 10], Knowledge(told), best, otherwise=(0, 0))
    assert found == pytest.approx(np.where(told, 2.0 + 12.0, 1.0 + 11.0))


def test_a_state_that_cannot_be_ordered_is_never_chosen() -> None:
    cost = np.array([np.full(64, np.inf), np.full(64, 5.0)])
    found = informed_cost([cost], Knowledge(np.arange(64) % 2), best, otherwise=(1,))
    assert found == pytest.approx(np.full(64, 5.0))


def test_an_answer_that_no_other_fold_got_changes_nothing() -> None:
    told = np.zeros(64, dtype=np.intp)
    told[0] = 1
    cost = np.array([np.full(64, 3.0), np.where(told, 0.0, 4.0)])
    assert informed_cost([cost], Knowledge(told), best, otherwise=(0,))[0] == 3.0


def test_an_answer_that_has_nothing_to_do_with_the_costs_is_not_worth_anything() -> None:
    """Ten packages alike on average: chosen and valued on the same futures, chance looks wise."""
    rng = np.random.default_rng(5)
    cost, told = rng.normal(size=(10, 512)), rng.integers(0, 4, size=512)
    honest = informed_cost([cost], Knowledge(told), best, otherwise=(0,)).mean()
    chosen = [cost[:, told == a].mean(axis=1).min() for a in range(4)]
    inflated = np.average(chosen, weights=np.bincount(told))
    assert inflated < -0.05
    assert abs(honest) < 3.0 / np.sqrt(512)


def test_thirds_keep_ties_together() -> None:
    assert list(thirds(np.array([1.0, 2.0, 3.0, 4.0, 5.0, 6.0]))) == [0, 0, 1, 1, 2, 2]
    assert set(thirds(np.ones(9))) == {0}


def test_a_stream_that_stays_away_is_an_answer_of_its_own() -> None:
    assert list(whether_and_when(np.array([8, 0, 3, 8, 6]), 8)) == [0, 1, 2, 0, 3]
    assert list(whether_and_when(np.array([8, 8]), 8)) == [0, 0]


def test_the_same_answer_in_every_future_tells_nothing() -> None:
    assert Knowledge(np.full(9, 2)).nothing
    assert not Knowledge(np.array([2, 2, 1])).nothing
