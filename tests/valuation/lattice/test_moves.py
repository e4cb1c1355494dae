"""The best set of retrofits at one date against trying every set."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optioneer.arrays import Floats
from optioneer.valuation.lattice.charges import Charges
from optioneer.valuation.lattice.lattice import Easing, Lattice, Target
from optioneer.valuation.lattice.moves import best_choice, best_moves, values_at
from optioneer.valuation.lattice.useful import states_from, with_useful_states

BOUNDS = np.ones(3)
SHAPE = (2, 3, 2)

VISITS = st.tuples(*[st.sampled_from([0.0, 3.0, 7.0])] * 2)
LEVELS = {levels: st.integers(0, 2**levels - 1) for levels in SHAPE}
EITHER, VISIT = st.booleans(), st.integers(-1, 1)


def lattice(targets: list[Target], visits: tuple[float, ...], valid: Floats) -> Lattice:
    size = int(np.prod(SHAPE))
    return Lattice(
        shape=SHAPE,
        names=("a", "b", "c"),
        fitted=tuple(tuple(range(levels)) for levels in SHAPE),
        valid=valid.astype(bool),
        price=np.zeros(size),
        upkeep=np.zeros(size),
        resale=np.zeros(size),
        streams=np.empty(0, dtype=np.intp),
        lost=np.empty((size, 0)),
        targets=tuple(targets),
        visits=visits,
        resale_prices=np.empty((0, size)),
    )


def amounts(count: int) -> st.SearchStrategy[Floats]:
    """So many whole amounts from 0 to 20, drawn in one go."""
    drawn = st.binary(min_size=count, max_size=count)
    return drawn.map(lambda some: np.array([byte % 21.0 for byte in some]))


@st.composite
def situations(draw: st.DrawFn) -> tuple[Lattice, Charges, Floats]:
    """A lattice of three slots with its charges and what its states cost afterwards."""
    visits = draw(VISITS)
    targets: list[Target] = []
    for axis, levels in enumerate(SHAPE):
        some = draw(LEVELS[levels])
        for level in (level for level in range(levels) if some >> level & 1):
            # The first slot may be eased by the second, the second by a level of its own.
            easer = {0: (1, 1), 1: (1, 0)}.get(axis)
            eased = easer is not None and easer != (axis, level) and draw(EITHER)
            easing = Easing(*easer, BOUNDS) if eased and easer is not None else None
            visit = draw(VISIT)
            targets.append(Target(axis, level, 0, 1.0, BOUNDS, 0.0, visit, easing))
    plain, eased_to = draw(amounts(2 * len(targets))).reshape(2, -1, 1)
    charges = Charges.of_parts(
        plain=tuple(plain),
        eased=tuple(
            None if t.easing is None else one for t, one in zip(targets, eased_to, strict=True)
        ),
        visits=tuple(np.array([visit]) for visit in visits),
    )
    size = int(np.prod(SHAPE))
    value = draw(amounts(size))[:, None]
    some = draw(st.integers(0, 2**size - 1))
    valid = np.array([1.0, *(float(some >> state & 1) for state in range(1, size))])
    return lattice(targets, visits, valid), charges, value


def move_cost(found: Lattice, charges: Charges, before: int, after: int) -> float:
    """Cost of going from one state to another by retrofits, infinite if they do not lead there."""
    cost, called = 0.0, set()
    for axis in range(len(found.shape)):
        old, new = found.levels[axis][before], found.levels[axis][after]
        if old == new:
            continue
        rows = [i for i, t in enumerate(found.targets) if (t.axis, t.level) == (axis, new)]
        if not rows:
            return np.inf
        target, eased = found.targets[rows[0]], charges.eased[rows[0]]
        cost_here = charges.plain[rows[0]][0]
        if target.easing is not None and eased is not None:
            holder = before if target.easing.axis == axis else after
            if found.levels[target.easing.axis][holder] == target.easing.level:
                cost_here = eased[0]
        cost += float(cost_here)
        called.add(target.visit)
    return cost + sum(float(charges.visits[visit][0]) for visit in called if visit >= 0)


def enumerated(found: Lattice, charges: Charges, value: Floats) -> Floats:
    """Least cost from each state over every state that is valid."""
    states = range(found.size)
    costs = np.full((found.size, found.size), np.inf)
    for before, after in product(states, states):
        if found.valid[after]:
            costs[before, after] = move_cost(found, charges, before, after) + value[after, 0]
    return costs


@settings(max_examples=300)
@given(situations())
def test_the_running_minimum_is_the_best_of_all_sets(
    situation: tuple[Lattice, Charges, Floats],
) -> None:
    found, charges, value = situation
    after = np.where(found.valid[:, None], value, np.inf)
    assert np.array_equal(
        best_moves(found, charges, after)[:, 0], enumerated(found, charges, value).min(axis=1)
    )


@settings(max_examples=200)
@given(situations())
def test_the_choice_is_the_best_set_and_what_it_costs(
    situation: tuple[Lattice, Charges, Floats],
) -> None:
    found, charges, value = situation
    least = enumerated(found, charges, value).min(axis=1)
    choice = best_choice(found, charges, value)
    for before in np.flatnonzero(np.isfinite(least)):
        after = int(choice.state[before, 0])
        assert found.valid[after]
        cost = move_cost(found, charges, int(before), after)
        assert choice.paid[before, 0] == pytest.approx(cost, abs=1e-9)
        assert cost + value[after, 0] == pytest.approx(least[before], abs=1e-9)


def test_costs_of_a_billion_are_told_apart_to_a_thousandth() -> None:
    target = Target(0, 1, 0, 1.0, BOUNDS, 0.0, -1)
    found = lattice([target], (), np.ones(12))
    charges = Charges.of_parts((np.array([1e9]),), (None,), ())
    value = np.full((12, 1), 2e9)
    value[6:] = 1e9 - 0.001
    assert best_choice(found, charges, value).state[:6, 0].tolist() == [6, 7, 8, 9, 10, 11]
    value[6:] = 1e9 + 0.001
    assert best_choice(found, charges, value).state[:6, 0].tolist() == [0, 1, 2, 3, 4, 5]


def test_values_are_taken_future_by_future() -> None:
    values = np.array([[1.0, 2.0], [3.0, 4.0]])
    assert values_at(values, np.array([[0, 1], [1, 0]])).tolist() == [[1.0, 4.0], [3.0, 2.0]]


def test_retrofits_of_one_slot_on_two_visits_are_tried_as_sets() -> None:
    targets = [
        Target(0, 1, 0, 1.0, BOUNDS, 0.0, 0),
        Target(1, 1, 1, 1.0, BOUNDS, 0.0, 0),
        Target(1, 2, 2, 1.0, BOUNDS, 0.0, 1),
    ]
    stages = lattice(targets, (3.0, 7.0), np.ones(12)).stages
    assert [len(stage) for stage in stages] == [4]


def test_slots_on_separate_visits_are_gone_through_visit_by_visit() -> None:
    targets = [Target(0, 1, 0, 1.0, BOUNDS, 0.0, 0), Target(1, 1, 1, 1.0, BOUNDS, 0.0, 1)]
    stages = lattice(targets, (3.0, 7.0), np.ones(12)).stages
    assert [len(stage) for stage in stages] == [1, 1]


@given(situations())
@settings(max_examples=200)
def test_states_that_nothing_leads_through_can_be_left_out(
    situation: tuple[Lattice, Charges, Floats],
) -> None:
    whole, charges, value = situation
    small = with_useful_states(whole)
    rows = whole.states_at(small.levels)
    assert set(np.flatnonzero(whole.valid)) <= set(rows)
    after = np.where(whole.valid[:, None], value, np.inf)
    own = small.valid
    assert (
        best_moves(small, charges, after[rows])[own] == best_moves(whole, charges, after)[rows][own]
    ).all()
    moved, expected = (
        best_choice(one, charges, v) for one, v in ((small, value[rows]), (whole, value))
    )
    assert (rows[moved.state[own]] == expected.state[rows][own]).all()


def test_a_requirement_leaves_out_states_and_none_is_looked_for_among_them() -> None:
    valid = np.ones(SHAPE)
    valid[:, 1, 0] = 0.0  # the second level of the second slot requires the third slot's
    targets = [Target(1, 1, 0, 1.0, BOUNDS, 0.0, -1), Target(2, 1, 0, 1.0, BOUNDS, 0.0, -1)]
    small = with_useful_states(lattice(targets, (), valid.ravel()))
    assert small.size == 10
    assert small.states_at(np.array([[0], [1], [0]])).tolist() == [-1]
    part, states = small.reachable(0)
    assert part.levels.tolist() == small.levels[:, states].tolist()
    assert small.reachable_states(0).tolist() == states[part.valid].tolist()


@given(situations(), st.sets(st.integers(0, 11), min_size=1))
def test_what_is_best_from_some_states_hangs_only_on_those_that_they_lead_to(
    situation: tuple[Lattice, Charges, Floats], asked: set[int]
) -> None:
    whole, charges, value = situation
    rows = states_from(whole, sorted(asked))
    after = np.where(whole.valid[:, None], value, np.inf)
    small = whole.among(rows)
    own = np.isin(rows, sorted(asked))
    assert own.sum() == len(asked)
    assert (
        best_moves(small, charges, after[rows])[own] == best_moves(whole, charges, after)[rows][own]
    ).all()
