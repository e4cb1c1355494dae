"""One package played by conditions: what there is to see, against every set of groups."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.study.problem.arrays import problem_of
from optioneer.valuation.acting.board import Board
from optioneer.valuation.acting.condition import Clues, Condition
from optioneer.valuation.acting.search import NEVER, FitRule, Trial
from tests.oracle.cases import between
from tests.study.unknowns.test_paths import shop
from tests.valuation.engine import engine, futures

COUNT, UNTAXED = 24, 1.25


def board(asked: Case | None = None) -> Board:
    """Three groups, two of them of one slot."""
    case = shop() if asked is None else asked
    problem = problem_of(case)
    made = engine(case, futures(problem, COUNT), lessons=32)
    (lattice,) = problem.lattices
    names = [problem.options[target.option] for target in lattice.targets]
    groups = tuple((names.index(name),) for name in ("small", "cell", "large"))
    start = int(np.flatnonzero(lattice.valid & (lattice.price == 0.0))[0])
    return Board(made.view(lattice), start, groups, UNTAXED)


def fitted(known: Board, groups: tuple[int, ...]) -> int:
    """The state once these groups have been fitted, one after the other."""
    levels = known.lattice.levels[:, known.start].copy()
    for group in groups:
        for target in (known.lattice.targets[i] for i in known.groups[group]):
            levels[target.axis] = target.level
    return int(known.lattice.states_at(levels[:, None])[0])


SETS = [each for size in range(4) for each in combinations(range(3), size)]


def test_of_every_set_of_groups_the_state_is_known() -> None:
    known = board()
    for groups in SETS:
        assert known.table[sum(1 << group for group in groups)] == fitted(known, groups)


@pytest.mark.parametrize("place", range(3))
def test_what_a_group_adds_is_the_most_it_adds_to_any_set_of_the_others(place: int) -> None:
    known = board()
    lost = known.lattice.lost
    others = [each for each in SETS if place not in each]
    added = [
        lost[fitted(known, each)] - lost[fitted(known, tuple(sorted((*each, place))))]
        for each in others
    ]
    most = np.maximum(np.max(added, axis=0), 0.0)
    assert known.gains(place) == pytest.approx(most)
    one_kind = (most > 0).sum() == 1
    counted = np.where(most > 0, 1.0, 0.0) if one_kind else most
    assert known.margin_weights(place) == pytest.approx(UNTAXED * counted)


@pytest.mark.parametrize("place", range(3))
def test_what_there_is_to_see_is_what_work_that_is_here_earns_and_brings(place: int) -> None:
    known = board()
    view, clock, counted = known.view, known.view.timeline, known.margin_weights(place)
    clues = known.clues(place)
    for t, n in np.ndindex(clock.periods, COUNT):
        margin = brings = 0.0
        for row, k in enumerate(view.lattice.streams):
            if view.arrival[row, n] <= t < view.end[row, n]:
                earned = view.level[row, n] * (1 + view.growth.growth[k]) ** (t * clock.dt)
                margin += counted[row] * earned
                brings += counted[row] * earned * (view.end[row, n] - t - 1) * clock.dt
        assert clues.margin[t, n] == pytest.approx(margin)
        assert clues.brings[t, n] == pytest.approx(brings)
        assert clues.open[t, n] == (t > 0)
        target = known.lattice.targets[known.groups[place][0]]
        quoted = target.price * view.multipliers[known.groups[place][0]][0][n]
        assert clues.price[t, n] == pytest.approx(quoted * clock.price_level[t])


def test_played_at_given_dates_it_costs_what_each_future_costs_by_itself() -> None:
    known = board()
    clock, rng = known.view.timeline, np.random.default_rng(4)
    first = rng.integers(1, clock.periods + 1, (3, COUNT)).astype(np.int32)
    first[2] = clock.periods  # of two of one slot only one is fitted
    told, cost = known.journey(first), known.cost(first)
    assert told.cost == pytest.approx(cost)
    for n in range(COUNT):
        total, state = 0.0, known.start
        for t in range(clock.periods):
            total += known.flow[t, state, n]
            after = fitted(known, tuple(g for g in range(3) if first[g, n] <= t))
            for i, target in enumerate(known.lattice.targets):
                levels = known.lattice.levels[target.axis]
                if levels[after] == target.level != levels[state]:
                    total += known.charges.plain[i][t * COUNT + n]
            state = after
        total -= clock.at_start[-1] * known.lattice.resale[state]
        assert cost[n] == pytest.approx(total)


def test_a_condition_holds_first_where_all_of_it_does() -> None:
    rng = np.random.default_rng(6)
    shape = (6, 40)
    clues = Clues(
        margin=1e3 * rng.integers(0, 5, shape).astype(np.float64),
        brings=4e3 * rng.integers(0, 5, shape).astype(np.float64),
        price=1e3 * rng.integers(1, 5, shape).astype(np.float64),
        open=np.arange(6)[:, None] > rng.integers(0, 2, 40),
        since=np.arange(6) / 2.0,
    )
    for condition in (
        Condition(),
        Condition(margin=2e3, price=3e3),
        Condition(brings=8e3),
        Condition(years=2.0, margin=1e3, price=2e3),
        Condition(margin=4e3, after=2.0),
    ):
        for n, found in enumerate(condition.first(clues)):
            periods = [t for t in range(6) if holds(condition, clues, t, n)]
            assert found == (periods[0] if periods else 6)


def holds(asked: Condition, clues: Clues, t: int, n: int) -> bool:
    if not clues.open[t, n]:
        return False
    margin, brings = clues.margin[t, n], clues.brings[t, n]
    met = margin >= asked.margin and brings >= asked.brings and brings >= asked.years * margin
    here = margin > 0 and met and clues.price[t, n] <= asked.price
    return bool(here or clues.since[t] >= asked.after)


@pytest.mark.parametrize("place", range(3))
def test_what_is_never_fitted_has_neither_a_price_nor_a_date(place: int) -> None:
    """Multipliers of 1.3 and more that nobody knows beforehand, so that prices could be limited."""
    trial = Trial(doubtful_board())
    assert np.ptp(trial.clues[place].price[0]) > 0.01 * trial.clues[place].price[0].mean()
    assert list(trial._with_price_limit(NEVER, place)) == []
    assert list(trial._with_time(NEVER)) == []


@pytest.mark.parametrize("place", range(3))
def test_a_price_or_a_date_is_added_to_what_a_condition_asks_already(place: int) -> None:
    trial = Trial(doubtful_board())
    asked = Condition(margin=3e3, years=1.0, brings=7e3)
    priced = [rule.condition for rule in trial._with_price_limit(FitRule(asked), place)]
    timed = [rule.condition for rule in trial._with_time(FitRule(asked))]
    quoted = trial.clues[place].price
    for one in priced:
        assert one is not None
        assert replace(one, price=np.inf) == asked
        assert 0.9 * quoted.min() <= one.price <= 1.1 * quoted.max()
    for one in timed:
        assert one is not None
        assert replace(one, after=np.inf) == asked
        assert 0.0 < one.after < 5.0
    assert len(priced) > 2
    assert len(timed) > 2


def doubtful_board() -> Board:
    """The same groups at multipliers that nobody knows."""
    case = shop()
    doubtful = tuple(
        one.model_copy(update={"multiplier": between(1.2, 1.5, 2.4)})
        for one in case.catalogue.options
    )
    return board(case.model_copy(update={"catalogue": Catalogue(options=doubtful)}))


def test_what_is_fitted_together_lists_for_the_sum_of_its_parts() -> None:
    apart = board()
    small, cell = apart.groups[0], apart.groups[1]
    together = replace(apart, groups=((*small, *cell),))
    assert together.clues(0).price == pytest.approx(apart.clues(0).price + apart.clues(1).price)
