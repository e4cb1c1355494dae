"""The bound that nobody can better who cannot see ahead, against exact enumeration and lattices."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from scipy.special import ndtri

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.growth import Stream
from optioneer.study.problem.arrays import problem_of
from optioneer.valuation.dual import Bounds, bounds
from optioneer.valuation.figures.summary import standard_error
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.view import View
from optioneer.valuation.news import NewsReading, knot_means, knot_shares
from optioneer.valuation.timing.policy import Policy
from optioneer.valuation.timing.sweep import policy_costs
from optioneer.valuation.worlds.beliefs import _Beliefs, arrival_hazards
from tests.oracle import exact
from tests.oracle.arrivals import joint
from tests.oracle.cases import CASES, between, case_of, certain, option, stream
from tests.oracle.strategies import small_cases
from tests.valuation.engine import Engine, engine, every_future
from tests.valuation.lattice.retrofit import Retrofit, open_retrofit

SWINGING = {
    "far": Retrofit(open_retrofit(6e3, 0.25), count=2048),
    "near": Retrofit(open_retrofit(9e3, 0.25), count=2048),
    "wild and near": Retrofit(open_retrofit(9e3, 0.5), count=2048),
}


def bounds_of(found: Engine, lattice: Lattice, policy: Policy) -> Bounds:
    world = found.world
    hazards = arrival_hazards(world.growth, world.timeline, world.valued, lattice.streams)
    return bounds(found.view(lattice), policy, hazards)


def tells_of_known_drivers(found: Engine) -> bool:
    """Whether some hazards hang on drivers taken as known, which enumerated futures have not."""
    world = found.world
    for lattice in found.problem.lattices:
        beliefs = _Beliefs(world.growth, world.timeline, world.valued, lattice.streams)
        on = np.flatnonzero(world.growth.loadings[beliefs._order].any(axis=0))
        if not set(on) <= set(beliefs.hidden):
            return True
    return False


def check(case: Case) -> None:
    """Every combination of arrivals once, weighted by its exact chance: no sampling error."""
    found = engine(case, every_future(case, problem_of(case)))
    chance = joint(case).ravel()
    lower = found.packages(lambda view, policy: bounds_of(found, view.lattice, policy).lower)
    reached = found.packages(lambda view, policy: bounds_of(found, view.lattice, policy).reached)
    learned, best = found.learned, exact.optimum(case)
    for package, least in best.items():
        assert lower[package] @ chance <= least + 2e-4 * abs(least)
        assert (lower[package] <= reached[package] + 1e-6).all()
        assert reached[package] @ chance == pytest.approx(learned[package] @ chance, rel=2e-4)


@given(small_cases())
@settings(max_examples=15, deadline=None)
def test_it_lies_below_the_best_policy_and_the_sums_added_have_expectation_zero(case: Case) -> None:
    assume(not tells_of_known_drivers(engine(case, every_future(case, problem_of(case)))))
    check(case)


@pytest.mark.parametrize("name", CASES)
def test_the_same_in_cases_in_which_one_feature_decides(name: str) -> None:
    check(CASES[name]())


@pytest.mark.parametrize("name", ["prepared", "blocked", "left_off"])
def test_where_the_policy_is_the_best_there_is_the_bound_meets_it_in_every_future(
    name: str,
) -> None:
    """Strong duality: the sums built from the best cost-to-go leave hindsight nothing to gain.

    Source: Brown, Smith & Sun, Operations Research 58 (2010) 785-801, theorem 2.1 (from memory).
    """
    found = engine(CASES[name]())
    for lattice, policy in zip(found.problem.lattices, found.policies, strict=True):
        both = bounds_of(found, lattice, policy)
        lower, reached = both.lower[lattice.orderable], both.reached[lattice.orderable]
        assert lower == pytest.approx(reached, rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("name", SWINGING)
def test_both_sides_bracket_the_value_on_the_lattice_within_half_a_percent(name: str) -> None:
    """An American-style option; the lattice is `tests.oracle.waiting`, independent of the engine.

    That any policy and any such bound bracket the value: Rogers, Mathematical Finance 12 (2002)
    271-286, theorem 1 (from memory).
    """
    retrofit = SWINGING[name]
    found = retrofit.engine
    (lattice,), (policy,) = found.problem.lattices, found.policies
    both = bounds_of(found, lattice, policy)
    cost = retrofit.margin.sum() - retrofit.exact.value
    lower, reached = both.lower[0], both.reached[0]
    assert lower.mean() <= cost + 3 * standard_error(lower) + 1e-4 * cost
    assert reached.mean() >= cost - 3 * standard_error(reached) - 1e-4 * cost
    assert (reached - lower).mean() <= 0.005 * cost


def test_what_is_added_takes_most_of_the_spread_away() -> None:
    retrofit = SWINGING["near"]
    found = retrofit.engine
    (lattice,), (policy,) = found.problem.lattices, found.policies
    learned = policy_costs(found.view(lattice), [policy])[0][0]
    reached = bounds_of(found, lattice, policy).reached[0]
    assert reached.mean() == pytest.approx(learned.mean(), abs=3 * standard_error(learned))
    assert reached.std() < learned.std() / 4


def test_expected_weights_of_knots_are_those_of_a_lognormal_step() -> None:
    step, knots = 0.4, np.exp(0.4 * np.array([-2.0, -0.7, 0.1, 1.5]))
    # The middles of many equal parts of probability: an independent mean.
    x = np.exp(step * ndtri((np.arange(400_000) + 0.5) / 400_000) - 0.5 * step**2)
    assert knot_means(knots, step) == pytest.approx(knot_shares(knots, x).mean(axis=1), abs=2e-5)


def test_lines_between_knots_give_back_a_line() -> None:
    knots, x = np.array([0.5, 1.0, 2.0]), np.array([0.1, 0.7, 1.0, 1.9, 5.0])
    assert (3.0 + 2.0 * knots) @ knot_shares(knots, x) == pytest.approx(3.0 + 2.0 * x)
    assert (3.0 + 2.0 * knots) @ knot_means(knots, 0.3) == pytest.approx(5.0)


def test_work_that_earns_nothing_has_nothing_to_swing() -> None:
    streams = [
        stream("idle", certain(0.5), 0.0, ["probe"], swing=0.3),
        stream("work", between(0.0, 1.0, 3.0), 12e3, ["probe"], chance=0.5, swing=0.2),
    ]
    found = engine(case_of([option("probe", 10e3, 1.3)], streams), lessons=256)
    (lattice,), (policy,) = found.problem.lattices, found.policies
    both = bounds_of(found, lattice, policy)
    lower, reached = both.lower[lattice.orderable], both.reached[lattice.orderable]
    assert (lower <= reached + 1e-6).all()
    assert np.isfinite(reached).all()


def test_news_of_what_is_here_already_is_no_news() -> None:
    """Of a stream that has come only what it earns and when it ends is told anew."""
    case = case_of(
        [option("probe", 10e3, 1.3)],
        [stream("work", between(0.0, 1.0, 3.0), 12e3, ["probe"], chance=0.7)],
    )
    found = engine(case)
    (lattice,) = found.problem.lattices
    world = found.world
    hazards = arrival_hazards(world.growth, world.timeline, world.valued, lattice.streams)
    for t in range(1, world.timeline.periods):
        reading = NewsReading(found.view(lattice), hazards[:, t], t)
        told = {int(n) for outlook in reading.outlooks() for n in outlook.columns}
        away = np.flatnonzero(world.valued.arrival[0] >= t)
        assert told <= set(away.tolist())


TOLD: dict[str, Stream] = {
    "doubtful": stream("work", between(0.0, 1.0, 3.0), 0.0, ["probe"], chance=0.7).model_copy(
        update={"margin": between(4e3, 9e3, 20e3)}
    ),
    "swinging": stream("work", between(0.0, 0.5, 1.5), 12e3, ["probe"], chance=0.7, swing=0.4),
    "ending": stream(
        "work", certain(0.5), 12e3, ["probe"], chance=0.7, lasts_years=between(1.0, 2.0, 4.0)
    ),
}


@pytest.mark.parametrize("name", TOLD)
def test_news_weighs_what_was_expected_against_what_came(name: str) -> None:
    """All weights together are 0, and weighed margins the one expected less the one that came.

    In a view that is a straight line in the margin, as between knots and between both ends.
    """
    found = engine(case_of([option("probe", 10e3, 1.3)], [TOLD[name]]), lessons=64)
    (lattice,), world = found.problem.lattices, found.world
    view = found.view(lattice)
    hazards = arrival_hazards(world.growth, world.timeline, world.valued, lattice.streams)
    likely = world.growth.margin[0].mean()
    came = world.valued.arrival[0]
    for t in range(1, world.timeline.periods):
        weight, money = np.zeros(16), np.zeros(16)
        for outlook in NewsReading(view, hazards[:, t], t).outlooks():
            np.add.at(weight, outlook.columns, outlook.weight)
            np.add.at(money, outlook.columns, outlook.weight * outlook.known[0])
        assert weight == pytest.approx(np.zeros(16), abs=1e-9)
        before, now = (view.known_level(range(s, s + 1))[0] for s in (t - 1, t))
        expected = np.where(came >= t, hazards[0, t] * likely, before * _lasts(view, t))
        assert money == pytest.approx(expected - now, abs=1e-6)


def _lasts(view: View, t: int) -> Floats:
    """Chance that work which was here a period before `t` is so still, by future."""
    age = np.clip(t - view.arrival[0], 1, view.timeline.periods)
    if view.lives is None:
        return np.ones(16)
    lasting = view.lives.chance_lasting[0]
    there = view.end[0] >= t
    return np.where(there, lasting[age] / np.maximum(lasting[age - 1], 1e-300), 0.0)
