"""Chances of arriving next, given who came before, against the multivariate normal distribution."""

from functools import cache

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ndtr, ndtri
from scipy.stats import multivariate_normal, triang

from optioneer.model.case import Case
from optioneer.model.growth import Driver, Stream, Way
from optioneer.study.problem.arrays import problem_of
from optioneer.valuation.worlds.beliefs import arrival_hazards, arrived_by_range, chance_nodes
from optioneer.valuation.worlds.futures import Futures, arrival_period
from optioneer.valuation.worlds.scenario import Growth, triangular_share
from optioneer.valuation.worlds.timeline import Timeline
from tests.oracle.cases import between, case_of, certain, option
from tests.valuation.engine import futures

LOADINGS = ({"boom": 0.7}, {"boom": 0.5, "fine": 0.4}, {"fine": -0.6})


def tied() -> Case:
    streams = [
        Stream(
            id=f"work-{k}",
            chance=0.6,
            years=between(0.2, 1.5, 3.0),
            margin=certain(10e3),
            drivers=loadings,
            way=(Way(options=("probe",)),),
        )
        for k, loadings in enumerate(LOADINGS)
    ]
    drivers = (Driver(id="boom", nudge=0.3), Driver(id="fine"))
    clock = {"horizon_years": 3.0, "driver": drivers}
    return case_of([option("probe", 40e3, 1.0)], streams, growth=clock)


def arrived_by(growth: Growth, timeline: Timeline, periods: tuple[int, ...]) -> float:
    """Probability that each stream arrives before the start of its period."""
    shares = [
        float(triangular_share(timeline.years, growth.years[k])[t]) for k, t in enumerate(periods)
    ]
    bound = -ndtri(growth.chance * np.maximum(shares, 1e-300))
    covariance = growth.loadings @ growth.loadings.T + np.diag(growth.own**2)
    mean = growth.loadings @ growth.nudge
    found = multivariate_normal.cdf(
        -bound, -mean, covariance, maxpts=2_000_000, abseps=1e-7, releps=1e-7
    )
    return float(found)


def chance_of(spans: list[tuple[int, int]]) -> float:
    """Probability that each stream arrives in its half-open span of periods; T + 1 is never."""
    total = 0.0
    for corner in np.ndindex(*(2,) * len(spans)):
        ends = tuple(span[1 - side] for span, side in zip(spans, corner, strict=True))
        total += (-1) ** sum(corner) * _before(ends)
    return total


@cache
def _before(ends: tuple[int, ...]) -> float:
    """Like `arrived_by` of the tied streams, where T + 1 stands for certainty."""
    problem = problem_of(tied())
    growth, timeline = problem.growth, problem.timeline
    kept = [k for k, end in enumerate(ends) if end <= timeline.periods]
    if not kept:
        return 1.0
    part = Growth(
        keys=tuple(growth.keys[k] for k in kept),
        **{
            name: getattr(growth, name)[kept]
            for name in ("chance", "years", "margin", "growth", "swing", "life", "loadings")
        },
        nudge=growth.nudge,
    )
    return arrived_by(part, timeline, tuple(ends[k] for k in kept))


@pytest.mark.parametrize("arrival", [(0, 3, 3), (3, 3, 3), (1, 0, 3), (2, 1, 0), (3, 1, 2)])
def test_given_all_that_came_before(arrival: tuple[int, int, int]) -> None:
    problem = problem_of(tied())
    growth, timeline = problem.growth, problem.timeline
    future = Futures(
        arrival=np.array(arrival, dtype=np.int32)[:, None],
        level=np.ones((3, 1)),
        log_swing=(None,) * 3,
        quantile=np.full((1, 1), 0.5),
    )
    found = arrival_hazards(growth, timeline, future, np.arange(3))
    never = timeline.periods + 1
    for t in range(timeline.periods):
        for k in range(3):
            if arrival[k] < t:
                continue
            # streams before k have already told what they do in t, those after it have not
            seen = [
                (arrival[j], arrival[j] + 1) if arrival[j] < t + (j < k) else (t + (j < k), never)
                for j in range(3)
            ]
            known = chance_of(seen)
            seen[k] = (t, t + 1)
            expected = chance_of(seen) / known
            assert found[k, t, 0] == pytest.approx(expected, abs=2e-4)


def test_they_add_up_to_the_chance_that_the_work_shows_up() -> None:
    problem = problem_of(tied())
    drawn = futures(problem, 4096)
    found = arrival_hazards(problem.growth, problem.timeline, drawn, np.arange(1))[0]
    away = drawn.arrival[0] >= np.arange(problem.timeline.periods)[:, None]
    came = (drawn.arrival[0] == np.arange(problem.timeline.periods)[:, None]).mean(axis=1)
    assert (found * away).mean(axis=1) == pytest.approx(came, abs=0.02)


def test_of_drivers_that_are_told_too_sharply_only_what_a_grid_can_hold_is_hidden() -> None:
    problem = problem_of(tied())
    sharp = problem.growth.loadings.copy()
    sharp[1] = [0.99, 0.1]
    growth = Growth(**{**vars(problem.growth), "loadings": sharp})
    drawn = futures(problem, 64)
    arrival = arrival_period(growth, problem.timeline, drawn.drivers, drawn.shocks)
    again = Futures(**{**vars(drawn), "arrival": arrival})
    found = arrival_hazards(growth, problem.timeline, again, np.arange(3))
    assert ((found >= 0) & (found <= 1)).all()
    # With both drivers known the stream that nearly hangs on them alone is nearly foreseen.
    comes = arrival[1] == 1
    assert found[1, 1, comes].mean() > 0.7


@pytest.mark.parametrize("own", [0.2, 0.6, 1.0])
@pytest.mark.parametrize("share", [0.01, 0.5, 1.0])
def test_many_at_once_are_the_mean_over_the_chance_that_nobody_knows(
    own: float, share: float
) -> None:
    low, likely, high = 0.1, 0.35, 0.9
    density = triang((likely - low) / (high - low), loc=low, scale=high - low).pdf
    caused = np.random.default_rng(4).normal(size=(64, 512))
    many = arrived_by_range(caused, own, np.array([low, likely, high]), share)
    for where in ((0, 0), (17, 300), (63, 511)):
        here = caused[where]

        def weighed(chance: float, here: float = here) -> float:
            return float(density(chance) * ndtr((here + ndtri(chance * share)) / own))

        true = quad(weighed, low, high, points=[likely], epsabs=1e-12)[0]
        assert many[where] == pytest.approx(true, abs=1e-9)


def test_of_many_that_are_the_same_each_is_the_same() -> None:
    bounds = np.array([0.125, 0.25, 0.4])
    many = arrived_by_range(np.zeros((1, 40)), 1.0, bounds, 0.5)
    assert many == pytest.approx(arrived_by_range(np.zeros((1, 1)), 1.0, bounds, 0.5)[0, 0])


@pytest.mark.parametrize("bounds", [(0.1, 0.35, 0.9), (0.0, 0.0, 0.5), (0.2, 1.0, 1.0)])
def test_nodes_of_a_chance_have_its_moments(bounds: tuple[float, float, float]) -> None:
    """Those of a triangular variable: `scipy.stats.triang`."""
    low, likely, high = bounds
    nodes, weights = chance_nodes(np.array(bounds))
    told = triang((likely - low) / (high - low), loc=low, scale=high - low)
    for power in range(5):
        assert weights @ nodes**power == pytest.approx(told.moment(power), rel=1e-12)


@pytest.mark.parametrize("own", [0.05, 0.15, 0.6])
def test_few_are_what_many_draws_of_chance_and_shock_say(own: float) -> None:
    """Also where little is the stream's own, so that it is averaged over its shock instead."""
    bounds, share, here = np.array([0.1, 0.35, 0.9]), 0.6, np.array([-1.1, -0.2, 0.4])
    low, likely, high = bounds
    quantiles = (np.arange(4000) + 0.5) / 4000
    chances = triang((likely - low) / (high - low), loc=low, scale=high - low).ppf(quantiles)
    true = ndtr((here[:, None] + ndtri(chances * share)) / own).mean(axis=1)
    assert arrived_by_range(here, own, bounds, share) == pytest.approx(true, abs=2e-4)
    assert arrived_by_range(here, own, bounds, 0.0).tolist() == [0.0, 0.0, 0.0]
