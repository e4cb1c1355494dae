"""Names of what is read: other contents, other names; what is not read changes none."""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optioneer.model.case import Case
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.futures import with_draws, world_of
from optioneer.valuation.cache.content import content_name, swept_name
from optioneer.valuation.cache.swept import cost_under, costs_after_order, remembered_bounds
from optioneer.valuation.timing.policy import Policy
from tests.oracle import cases

simple = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text()
contents = st.recursive(simple, lambda inner: st.lists(inner).map(tuple), max_leaves=6)


@given(contents, contents)
def test_contents_that_differ_have_different_names(one: object, other: object) -> None:
    same = repr(one) == repr(other)
    assert (content_name(one) == content_name(other)) == same


@pytest.mark.parametrize(
    "other",
    [
        np.array([1.0, 2.0, 3.0]),
        np.array([[1.0], [2.0]]),
        np.array([1, 2]),
        np.array([1.0, np.nextafter(2.0, 3.0)]),
        np.array([1.0, 2.0], dtype=np.float32),
    ],
)
def test_arrays_of_another_shape_kind_or_last_bit_have_other_names(other: object) -> None:
    assert content_name(np.array([1.0, 2.0])) != content_name(other)


def test_the_layout_of_an_array_in_memory_is_no_content() -> None:
    array = np.arange(6.0).reshape(2, 3)
    assert content_name(array) == content_name(np.asfortranarray(array))


def test_a_set_has_one_name_and_no_tuple_has_it() -> None:
    one = frozenset({1, 2**40, -3})
    assert content_name(one) == content_name(frozenset([-3, 2**40, 1]))
    assert len({content_name(each) for each in (one, tuple(sorted(one)), one - {1})}) == 3


def test_what_cannot_be_named_by_all_it_holds_is_refused() -> None:
    @dataclass
    class Holding:
        what: object

    with pytest.raises(TypeError, match="No name for a set"):
        content_name(Holding({1}))


CASES = [cases.anticipation, cases.shared_visit, cases.prepared, cases.driven]


@pytest.mark.parametrize("made", CASES, ids=lambda made: made.__name__)
def test_whatever_changes_a_sweep_changes_its_name(made: Callable[[], Case]) -> None:
    """Every array of scenario and futures is changed in turn, a number at a time."""
    case = with_draws(made(), 64)
    problem = problem_of(case)
    world = world_of(case, problem, 64)
    rng, lattice = np.random.default_rng(3), problem.lattices[0]
    before, name = costs_after_order(world, lattice, map), swept_name(world, lattice)
    for part in ("growth", "valued", "learned"):
        whole = getattr(world, part)
        for field in [each.name for each in fields(whole)]:
            value = getattr(whole, field)
            if isinstance(value, np.ndarray) and value.size and value.dtype.kind in "fi":
                changed = value.copy()
                place = tuple(rng.integers(n) for n in changed.shape)
                changed[place] = changed[place] * 0.5 if changed.dtype.kind == "f" else 1
                other = replace(world, **{part: replace(whole, **{field: changed})})
                after = costs_after_order(other, lattice, map)
                if not np.array_equal(before.learned, after.learned):
                    assert swept_name(other, lattice) != name, (part, field)


def test_prices_and_names_change_no_name() -> None:
    case = with_draws(cases.prepared(), 64)
    problem = problem_of(case)
    world, lattice = world_of(case, problem, 64), problem.lattices[0]
    dearer = replace(lattice, price=lattice.price + 7.0, names=("x",) * len(lattice.names))
    assert swept_name(world, dearer) == swept_name(world, lattice)
    one, other = (costs_after_order(world, each, map) for each in (lattice, dearer))
    assert np.array_equal(one.learned, other.learned)
    assert np.array_equal(one.hindsight, other.hindsight)


@pytest.mark.parametrize("made", CASES, ids=lambda made: made.__name__)
def test_under_a_policy_that_is_told_it_costs_what_that_policy_costs(
    made: Callable[[], Case],
) -> None:
    """Told the rule alone, and told what was learned."""
    case = with_draws(made(), 64)
    problem = problem_of(case)
    world = world_of(case, problem)
    for lattice in problem.lattices:
        own = costs_after_order(world, lattice, map)
        ruled = cost_under(world, lattice, Policy())
        assert ruled.learned.mean(axis=1)[lattice.valid] == pytest.approx(
            (own.rule + lattice.price)[lattice.valid]
        )
        again = cost_under(world, lattice, own.policy)
        assert again.learned == pytest.approx(own.with_prices_of(lattice).learned)


@pytest.mark.parametrize("made", CASES, ids=lambda made: made.__name__)
def test_bounds_of_one_package_alone_are_those_that_all_have_together(
    made: Callable[[], Case],
) -> None:
    case = with_draws(made(), 64)
    problem = problem_of(case)
    world = world_of(case, problem)
    for lattice in problem.lattices:
        alone = costs_after_order(world, lattice, map, bounds=False).with_prices_of(lattice)
        every = costs_after_order(world, lattice, map).with_prices_of(lattice)
        for state in np.flatnonzero(lattice.valid):
            own, told = (remembered_bounds(world, cost, int(state)) for cost in (alone, every))
            assert own == pytest.approx(told, rel=1e-12, abs=1e-6)


def test_other_prices_move_every_valuation_of_a_package_by_the_difference() -> None:
    case = cases.prepared()
    problem = problem_of(case)
    world = world_of(case, problem)
    (lattice,) = problem.lattices
    swept = costs_after_order(world, lattice, map)
    more = 100.0 * np.arange(1.0, lattice.size + 1.0)
    one = swept.with_prices_of(lattice)
    other = swept.with_prices_of(replace(lattice, price=lattice.price + more))
    able = lattice.valid
    assert (other.learned - one.learned)[able] == pytest.approx(
        np.broadcast_to(more[:, None], one.learned.shape)[able]
    )
    for name in ("hindsight", "rule"):
        moved = getattr(other, name) - getattr(one, name)
        assert moved[able] == pytest.approx(more[able])
