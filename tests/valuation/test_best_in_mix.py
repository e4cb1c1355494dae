"""The best package in the real mix of work: no change of one cluster betters it, all costs told."""

from collections.abc import Sequence
from typing import cast

import hypothesis.strategies as st
import numpy as np
from hypothesis import given

from optioneer.valuation.shared_hours.best_in_mix import CENT, TRIED, Bettering
from optioneer.valuation.shared_hours.real_mix import MixTerm

CLUSTERS, STATES = 2, TRIED  # of so many all are tried
EACH = st.lists(st.integers(0, 50), min_size=STATES, max_size=STATES)
EVERY = st.lists(st.integers(0, 50), min_size=STATES**CLUSTERS, max_size=STATES**CLUSTERS)


class Shared:
    """What sharing costs each package."""

    tied = tuple(range(CLUSTERS))

    def __init__(self, costs: Sequence[float]) -> None:
        self.costs = np.reshape(costs, (STATES,) * CLUSTERS)

    def mean(self, package: tuple[int, ...]) -> float:
        return float(self.costs[package])


def bettering(
    means: Sequence[Sequence[float]], shared: Sequence[float], later: Sequence[float]
) -> Bettering:
    bills = Shared(later)
    apart = [np.array(mean, dtype=float) for mean in means]
    return Bettering(cast("MixTerm", Shared(shared)), apart, lambda _: 0.0, bills.mean, [])


@given(means=st.tuples(EACH, EACH), shared=EVERY, later=EVERY)
def test_no_change_of_one_cluster_betters_it(
    means: tuple[list[int], list[int]], shared: list[int], later: list[int]
) -> None:
    made = bettering(means, shared, later)
    best = made.bettered((0, 0))
    for cluster in range(CLUSTERS):
        for state in range(STATES):
            other = (*best[:cluster], state, *best[cluster + 1 :])
            assert made.total(best) <= made.total(other) + CENT


def test_works_that_retrofits_make_necessary_later_count() -> None:
    """Ten cheaper with the order, and thirty to pay when the supply is outgrown."""
    none = [0.0] * STATES**CLUSTERS
    outgrown = [30.0 if package < STATES else 0.0 for package in range(STATES**CLUSTERS)]
    made = bettering([[0.0, 10.0, 90.0], [0.0, 5.0, 5.0]], none, outgrown)
    assert made.bettered((0, 0)) == (1, 0)
