"""Small sums of the valuation, each against the plain way to work it out."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from optioneer.arrays import Bools, Floats
from optioneer.study.problem.arrays import problem_of
from optioneer.valuation.cache.memory import Memory
from optioneer.valuation.cache.paths import (
    moves_after_order,
    path,
    states_along,
    states_moved_to,
    states_owned,
)
from optioneer.valuation.choice.frontier import merged
from optioneer.valuation.choice.turning import TurnSearch, nearest_turn
from optioneer.valuation.lattice.moves import values_at
from optioneer.valuation.timing.sweep import Moves, policy_costs, policy_costs_and_moves
from optioneer.valuation.worlds.futures import drawn_futures
from optioneer.valuation.worlds.scores import scores
from optioneer.valuation.worlds.timeline import Timeline
from optioneer.valuation.worlds.turns import Turns
from tests.oracle.cases import between, case_of, certain, option, stream
from tests.valuation.engine import Engine, engine, futures

STATES, FUTURES, PERIODS = 3, 5, 4


def moves(*, ruled: bool) -> Moves:
    rng = np.random.default_rng(2)
    learned, rule = rng.integers(0, STATES, (2, PERIODS, STATES, FUTURES)).astype(np.uint8)
    which = np.array([True, False, True]) if ruled else None
    return Moves(learned, rule if ruled else None, which)


@pytest.mark.parametrize("ruled", [False, True])
@pytest.mark.parametrize("start", range(STATES))
def test_a_path_is_gone_step_by_step_by_the_moves_that_hold_from_its_start(
    ruled: bool,  # noqa: FBT001 - a case of the table
    start: int,
) -> None:
    made = moves(ruled=ruled)
    own = made.rule if ruled and start != 1 else made.learned
    assert moves_after_order(made, start) is own
    assert own is not None
    stay = np.array([1, 2, 3, 4, 4])
    found, owned = path(made, start, stay), states_owned(made, start, stay)
    for n in range(FUTURES):
        state = start
        for t in range(PERIODS):
            assert owned[t, n] == state
            state = int(own[t, state, n]) if 0 < t < stay[n] else state
            assert found[t, n] == state


def test_values_are_taken_state_by_state_and_future_by_future() -> None:
    rng = np.random.default_rng(3)
    values, state = rng.normal(size=(STATES, FUTURES)), rng.integers(0, STATES, (4, FUTURES))
    found = values_at(values, state)
    for p, n in np.ndindex(4, FUTURES):
        assert found[p, n] == values[state[p, n], n]


def wide() -> Engine:
    """Nine options that may each be fitted later: more states than a byte can tell."""
    names = [f"o{k}" for k in range(9)]
    options = [option(name, 2e3 + 100 * k, 1.1) for k, name in enumerate(names)]
    works = [
        stream("one", between(0.0, 1.0, 3.0), 30e3, names[:5], chance=0.7),
        stream("two", between(0.0, 1.0, 3.0), 30e3, names[4:], chance=0.7),
    ]
    case = case_of(options, works, growth={"horizon_years": 3.0})
    return engine(case, futures(problem_of(case), 6), lessons=32)


def test_what_is_kept_of_moves_is_what_is_done_however_many_states_there_are() -> None:
    found = wide()
    (lattice,), (policy,) = found.problem.lattices, found.policies
    assert lattice.size == 512
    view = found.view(lattice)
    costs, kept = policy_costs_and_moves(view, [policy])
    np.testing.assert_array_equal(costs[0], policy_costs(view, [policy])[0])
    for start in (0, 15, 511):
        own = states_moved_to(view, policy.after(start))
        own[0] = np.arange(lattice.size)[:, None]
        np.testing.assert_array_equal(
            states_along(own, start)[1:], path(kept, start, np.full(view.futures.count, 3))
        )
        assert (path(kept, start, np.full(view.futures.count, 3)) >= start).all()


def test_every_set_of_visits_is_tried_once_and_what_needs_none_goes_with_each() -> None:
    """One option needs the rigger or a visit of its own, another both teams' hooks."""
    options = [
        option("a1", 4e3, 1.1, slot="a", call_out="rigger"),
        option("a2", 5e3, 1.1, slot="a", call_out="fitter"),
        option("a3", 6e3, 1.1, slot="a", call_out=None),
    ]
    work = stream("work", certain(1.0), 9e3, ["a1"])
    ways = work.model_copy(
        update={
            "way": tuple(
                work.way[0].model_copy(update={"options": (n,)}) for n in ("a1", "a2", "a3")
            )
        }
    )
    calls = {"rigger": 900.0, "fitter": 700.0}
    (lattice,) = problem_of(case_of(options, [ways], call_outs=calls)).lattices
    (stage,) = lattice.stages
    numbers = [visit for visit, charge in enumerate(lattice.visits) if charge > 0]
    sets = [each for size in range(3) for each in combinations(numbers, size)]
    assert [visits.called for visits in stage] == sets
    free = {i for i, target in enumerate(lattice.targets) if lattice.visits[target.visit] == 0.0}
    free |= {i for i, target in enumerate(lattice.targets) if target.visit < 0}
    for visits in stage:
        able = {i for members in visits.slots for i in members}
        paid = {i for i, t in enumerate(lattice.targets) if t.visit in visits.called}
        assert able == free | paid


@pytest.mark.parametrize("years", [(-2.0, 0.5, 3.0), (-2.0, -1.0, 4.0), (0.2, 0.5, 3.0)])
def test_what_an_arrival_says_is_the_mean_of_what_made_it(
    years: tuple[float, float, float],
) -> None:
    """Against drawn futures; what came before the machine was there arrives with it."""
    work = stream("work", between(0.2, 0.5, 3.0), 1e3, ["probe"], chance=0.7, drivers={"boom": 0.8})
    case = case_of(
        [option("probe", 1e3, 1.0)], [work], growth={"driver": ({"id": "boom", "nudge": 0.3},)}
    )
    problem = problem_of(case)
    growth = replace(problem.growth, years=np.array([years]))
    drawn = drawn_futures(growth, problem.timeline, options=(), count=16384, seed=1, use=0)
    z = growth.loadings[0] @ drawn.drivers + growth.own[0] * drawn.shocks[0]
    told = scores(growth, problem.timeline)
    for t in range(problem.timeline.periods):
        here, later = drawn.arrival[0] == t, drawn.arrival[0] > t
        if here.sum() > 400:
            assert told.seen[0, t] == pytest.approx(z[here].mean(), abs=0.02)
        assert told.absent[0, t] == pytest.approx(z[later].mean(), abs=0.02)
        for came in range(problem.timeline.periods + 1):
            says = told.absent[0, t] if came > t else told.seen[0, came]
            assert told.by_arrival(np.array([0]), range(t, t + 1))[0, 0, came] == says


@given(
    some.floats(0.01, 30.0, allow_nan=False),
    some.sampled_from([1, 2, 4, 12]),
    some.integers(1, 40),
)
def test_years_become_whole_periods_rounded_half_up(
    years: float, a_year: int, periods: int
) -> None:
    clock = Timeline(lead=0.0, periods=periods, periods_per_year=a_year, rate=0.1)
    found = int(clock.lasting(np.array(years)))
    exact = min(max(years * a_year, 1.0), periods)
    assert abs(found - exact) <= 0.5 + 1e-6
    assert 1 <= found <= periods
    halves = np.arange(1, periods) + 0.5
    assert clock.lasting(halves / a_year).tolist() == list(range(2, periods + 1))


def test_whose_work_came_last_pays_and_before_any_all_pay_alike() -> None:
    arrival = np.array([[0, 0, 2, 3, 9], [9, 1, 2, 0, 9], [9, 9, 2, 9, 9]])
    streams = ((0,), (1,), (2,))
    shares = np.stack([Turns("team", streams, own).share(arrival, 4) for own in range(3)])
    for t, n in np.ndindex(4, 5):
        came = [int(arrival[k, n]) if arrival[k, n] <= t else -1 for k in range(3)]
        last = [k for k in range(3) if came[k] == max(came)]
        assert shares[:, t, n].tolist() == [(k in last) / len(last) for k in range(3)]


def test_memory_counts_what_it_found_and_what_not_and_forgets_all() -> None:
    memory = Memory(most=100)
    memory.put("a", {"x": np.zeros(5)})
    assert memory.get("a") is not None
    assert memory.get("b") is None
    assert (memory.hits, memory.misses, memory.nbytes) == (1, 1, 40)
    memory.put("c", {"x": np.zeros(5)})
    assert memory.get("a") is not None
    memory.put("d", {"x": np.zeros(5)})  # c was asked for least lately
    assert memory.get("c") is None
    assert memory.get("a") is not None
    memory.put("too-large", {"x": np.zeros(13)})
    assert memory.get("too-large") is None
    memory.forget()
    assert (memory.hits, memory.misses, memory.nbytes) == (0, 0, 0)
    assert memory.get("a") is None


@given(
    some.lists(
        some.lists(
            some.tuples(some.integers(0, 40), some.integers(-60, 60)), min_size=1, max_size=5
        ),
        min_size=1,
        max_size=3,
    )
)
def test_points_left_out_cost_no_more_than_is_told(
    clusters: list[list[tuple[int, int]]],
) -> None:
    prices = [np.array([float(p) for p, _ in each]) for each in clusters]
    costs = [np.array([float(c) for _, c in each]) for each in clusters]
    every = merged(prices, costs)
    assert every.within == 0.0
    assert (np.diff(every.price) > 0).all()
    assert (np.diff(every.cost) < 0).all()
    few = merged(prices, costs, most=3)
    assert len(few.price) <= 3
    assert few.price[0] == every.price[0]
    assert few.cost[-1] == every.cost[-1]
    for price, cost in zip(every.price, every.cost, strict=True):
        at = int(np.searchsorted(few.price, price, side="right")) - 1
        assert few.cost[at] <= cost + few.within + 1e-9
    assert every.thinned(len(every.price)) is every


@pytest.mark.parametrize("turn", [-7.3, -0.4, 0.6, 8.9])
@pytest.mark.parametrize("off", [0.0, 0.3, -0.3, 2.5])
def test_a_turn_is_found_as_near_as_asked_for_though_it_is_guessed_on_a_rough_curve(
    turn: float, off: float
) -> None:
    search = TurnSearch(here=0.0, low=-10.0, high=10.0, steps=20, close=0.01)

    def exact(x: float, _: Bools) -> Floats:
        return np.array([100.0 * (x - turn), 0.0])

    def rough(x: float) -> Floats:
        return np.array([100.0 * (x - turn - off) + 40.0 * off, 0.0])

    one = np.array([True, False])
    found = nearest_turn(exact, rough, search, one)
    assert found == pytest.approx(turn, abs=search.close)
    assert nearest_turn(exact, None, search, one) == pytest.approx(turn, abs=search.close)
    assert nearest_turn(lambda _, __: np.ones(2) * one, None, search, one) is None
