from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from optioneer.valuation.choice.selection import Limit, cheapest

Floats = NDArray[np.float64]


@st.composite
def choices(draw: st.DrawFn) -> tuple[list[Floats], list[Limit]]:
    sizes = draw(st.lists(st.integers(1, 5), min_size=1, max_size=4))
    whole = st.integers(0, 20)

    def column(size: int) -> Floats:
        return np.array(draw(st.lists(whole, min_size=size, max_size=size)), dtype=np.float64)

    costs = [column(size) for size in sizes]
    limits = [
        Limit([column(size) for size in sizes], draw(st.integers(0, 50)))
        for _ in range(draw(st.integers(0, 2)))
    ]
    return costs, limits


@settings(max_examples=80, deadline=None)
@given(choices())
def test_the_choice_is_the_best_of_all(case: tuple[list[Floats], list[Limit]]) -> None:
    costs, limits = case
    allowed = [
        sum(float(cost[state]) for cost, state in zip(costs, states, strict=True))
        for states in product(*(range(len(cost)) for cost in costs))
        if all(
            sum(float(use[s]) for use, s in zip(limit.uses, states, strict=True)) <= limit.room
            for limit in limits
        )
    ]
    found = cheapest(costs, limits)
    if found is None:
        assert not allowed
    else:
        total = sum(float(cost[state]) for cost, state in zip(costs, found, strict=True))
        assert total == pytest.approx(min(allowed))


def test_states_that_cannot_be_had_are_never_chosen() -> None:
    assert cheapest([np.array([np.inf, 3.0])], []) == (1,)
    assert cheapest([np.array([np.inf])], []) is None
