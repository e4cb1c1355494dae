"""Choosing near the best, within limits, against every choice there is."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import cast

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from optioneer.arrays import Floats
from optioneer.valuation.choice.attitude import Attitude
from optioneer.valuation.choice.caution import CLOSE_ENOUGH, Weighings
from optioneer.valuation.choice.selection import Limit, keeps
from optioneer.valuation.shared_hours.best_in_mix import TRIED, Bettering
from optioneer.valuation.shared_hours.real_mix import MixTerm

States = tuple[int, ...]
SIZES = (3, 4, 2)


@dataclass(frozen=True)
class Sharing:
    """What two clusters cost beyond their prices, by their states."""

    table: Floats
    tied_clusters: tuple[int, ...] = (0, 1)

    def mean(self, package: Sequence[int]) -> float:
        return float(self.table[package[0], package[1]])


def bettering(seed: int, limits: Sequence[Limit]) -> Bettering:
    rng = np.random.default_rng(seed)
    means = [rng.normal(size=size) * 1e3 for size in SIZES]
    mix = Sharing(rng.random((SIZES[0], SIZES[1])) * 800.0)
    works = rng.random(SIZES[0]) * 600.0
    return Bettering(
        cast(MixTerm, mix),
        means,
        beside=lambda package: 10.0 * package[2],
        later=lambda package: float(works[package[0]]),
        limits=limits,
    )


def limits_of(seed: int, count: int) -> list[Limit]:
    rng = np.random.default_rng(seed)
    return [
        Limit([rng.integers(0, 5, size).astype(float) for size in SIZES], float(rng.integers(4, 9)))
        for _ in range(count)
    ]


@given(some.integers(0, 2**20), some.sampled_from([0, 1, 2]))
@settings(max_examples=25)
def test_no_change_of_one_cluster_to_a_near_state_is_better(seed: int, count: int) -> None:
    limits = limits_of(seed, count)
    known = bettering(seed, limits)
    able = [s for s in product(*map(range, SIZES)) if all(keeps(limit, s) for limit in limits)]
    for start in able[:3]:
        found = known.bettered(start)
        assert all(keeps(limit, found) for limit in limits)
        assert known.total(found) <= known.total(start) + 1e-9
        for cluster in (0, 1):
            cheapest = np.argsort(known.means[cluster])[:TRIED]
            for state in cheapest:
                other = (*found[:cluster], int(state), *found[cluster + 1 :])
                if all(keeps(limit, other) for limit in limits):
                    assert known.total(found) <= known.total(other) + 0.01 + 1e-9


@given(some.integers(0, 2**20))
@settings(max_examples=25)
def test_near_packages_differ_in_one_cluster_and_keep_every_limit(seed: int) -> None:
    limits = limits_of(seed, 2)
    known = bettering(seed, limits)
    package = (0, 0, 0)
    near = known.near(package, 1, 4)
    every = [(0, s, 0) for s in range(SIZES[1]) if s != 0]
    assert set(near) == {one for one in every if all(keeps(limit, one) for limit in limits)}
    assert len(bettering(seed, []).near(package, 1, 4)) == SIZES[1] - 1


@given(some.integers(0, 2**20), some.sampled_from([0.0, 0.4, 1.0]))
@settings(max_examples=25)
def test_a_cautious_choice_is_bettered_within_its_limits_only(seed: int, weight: float) -> None:
    rng = np.random.default_rng(seed)
    costs = [rng.normal(size=(size, 8)) * 500.0 for size in SIZES]
    known = Weighings(costs, rng.normal(size=8) * 50.0, Attitude(weight, 0.25))
    (limit,) = limits_of(seed, 1)
    able = [s for s in product(*map(range, SIZES)) if keeps(limit, s)]
    for start in able[:2]:
        found = known.bettered(start, [limit])
        assert keeps(limit, found)
        rated = known.attitude.rating(known.cost(found))
        for cluster, size in enumerate(SIZES):
            for state in range(size):
                other = (*found[:cluster], state, *found[cluster + 1 :])
                if keeps(limit, other):
                    assert rated <= known.attitude.rating(known.cost(other)) + CLOSE_ENOUGH


@pytest.mark.parametrize("allowed", [[0], [1, 3], [2]])
def test_kept_to_some_states_the_best_of_them_in_the_real_mix_is_found(allowed: list[int]) -> None:
    known = bettering(5, [])
    within = np.isin(np.arange(SIZES[1]), allowed)
    chosen = known.bettered((0, 0, 0))
    able = [(chosen[0], s, chosen[2]) for s in allowed]
    best = min(able, key=known.apart)
    found = known.otherwise(chosen, best, (1, within))
    assert found[1] in allowed
    assert known.total(found) <= min(known.total(one) for one in able) + 1e-9


@pytest.mark.parametrize("start", [(0, 0), (1, 0)])
def test_works_that_retrofits_make_necessary_later_count(start: States) -> None:
    """Ten cheaper with the order, and thirty to pay when the supply is outgrown."""
    known = Bettering(
        cast(MixTerm, Sharing(np.zeros((2, 2)))),
        [np.array([0.0, 10.0]), np.array([0.0, 5.0])],
        beside=lambda _: 0.0,
        later=lambda package: 30.0 * (package[0] == 0),
        limits=[],
    )
    assert known.bettered(start) == (1, 0)


@pytest.mark.parametrize("start", [(0, 0), (1, 0)])
def test_what_sharing_costs_beyond_its_price_counts(start: States) -> None:
    """Ten cheaper at the price of an hour, and thirty dearer in the real mix of work."""
    known = Bettering(
        cast(MixTerm, Sharing(np.array([[30.0, 30.0], [0.0, 0.0]]))),
        [np.array([0.0, 10.0]), np.array([0.0, 5.0])],
        beside=lambda _: 0.0,
        later=lambda _: 0.0,
        limits=[],
    )
    assert known.bettered(start) == (1, 0)
    assert known.least([(0, 0), (0, 1), (1, 1)], 100.0) == (15.0, (1, 1))
