"""The cheapest choice by going through choices, against going through all and a programme."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optioneer.valuation.choice import enumeration
from optioneer.valuation.choice.enumeration import TooManyChoicesError, cheapest_by_enumeration
from optioneer.valuation.choice.selection import Limit, _choice_by_programme, cheapest, keeps

whole = st.integers(-9, 9).map(float)


@given(st.data())
def test_the_cheapest_of_all_choices_that_keep_the_limits(data: st.DataObject) -> None:
    sizes = data.draw(st.lists(st.integers(1, 4), min_size=1, max_size=4))
    costs = [np.array(data.draw(st.lists(whole, min_size=n, max_size=n))) for n in sizes]
    limits = [
        Limit([np.array(data.draw(st.lists(whole, min_size=n, max_size=n))) for n in sizes], room)
        for room in data.draw(st.lists(whole, max_size=3))
    ]
    found = cheapest(costs, limits)
    allowed = [p for p in product(*map(range, sizes)) if all(keeps(each, p) for each in limits)]
    totals = [sum(cost[s] for cost, s in zip(costs, p, strict=True)) for p in allowed]
    assert (found is None) == (not allowed)
    if found is not None:
        assert found in allowed
        assert sum(cost[s] for cost, s in zip(costs, found, strict=True)) == min(totals)


def test_too_many_choices_are_left_to_a_programme_that_finds_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rng = np.random.default_rng(3)
    costs = [rng.random(8) for _ in range(6)]
    uses = [1.0 - cost + 0.2 * rng.random(8) for cost in costs]
    limit, states = Limit(uses, 2.5), [np.arange(8)] * 6
    own = cheapest_by_enumeration(costs, [use[None] for use in uses], states, (2.5,))
    assert own == _choice_by_programme(costs, [limit], states)
    monkeypatch.setattr(enumeration, "MOST_STEPS", 5)
    with pytest.raises(TooManyChoicesError):
        cheapest_by_enumeration(costs, [use[None] for use in uses], states, (2.5,))
    assert cheapest(costs, [limit]) == own
