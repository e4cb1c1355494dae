"""Draws against closed forms: arrivals, margins, drivers and swings.

Closed forms unless said otherwise; the tolerance of a drawn figure is four of its standard errors,
from the spread of the independently scrambled sets.
"""

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ndtr, ndtri
from scipy.stats import norm, triang

from optioneer.arrays import Floats
from optioneer.valuation.figures.summary import standard_error
from optioneer.valuation.worlds.futures import (
    Futures,
    _generator_of,
    drawn_futures,
    margin_in,
)
from optioneer.valuation.worlds.scenario import Growth, triangular_quantile
from optioneer.valuation.worlds.timeline import Timeline
from tests.valuation.worlds.streams import clock, drawn, growth_of

SE = 4.0
"""Standard errors that a drawn figure may be off."""

HAND = np.array([3.0, 3.5, 5.0])
"""A triangular variable: mean 23/6, variance 13/72, mode at a quarter of its mass."""


def close(values: Floats, expected: float, *, least: float = 1e-12) -> None:
    """Check the mean of drawn values."""
    assert values.mean() == pytest.approx(expected, abs=SE * standard_error(values) + least)


# Triangular variables: Kotz & van Dorp, Beyond Beta, World Scientific 2004, ch. 1 (from memory).


def test_triangular_quantile_has_the_moments_and_ninetieth_percentile_of_the_closed_form() -> None:
    mean = quad(lambda u: float(triangular_quantile(np.array(u), HAND)), 0, 1, points=[0.25])[0]
    square = quad(lambda u: float(triangular_quantile(np.array(u), HAND)) ** 2, 0, 1)[0]
    assert mean == pytest.approx(23 / 6, rel=1e-10)
    assert square - mean**2 == pytest.approx(13 / 72, rel=1e-8)
    assert triangular_quantile(np.array([0.25, 0.9]), HAND) == pytest.approx(
        [3.5, 4.45227744], abs=5e-9
    )


@pytest.mark.parametrize("bounds", [(3.0, 3.5, 5.0), (0.0, 0.0, 2.0), (1.0, 4.0, 4.0)])
def test_triangular_quantile_is_the_librarys(bounds: tuple[float, float, float]) -> None:
    low, likely, high = bounds
    u = np.linspace(0.0, 1.0, 1001)
    library = triang.ppf(u, (likely - low) / (high - low), loc=low, scale=high - low)
    assert triangular_quantile(u, np.array(bounds)) == pytest.approx(library, abs=1e-12)


def test_a_certain_quantity_is_what_it_is() -> None:
    assert (triangular_quantile(np.linspace(0, 1, 11), np.full(3, 7.0)) == 7.0).all()


def test_drawn_margin_levels_and_multipliers_follow_the_triangular_law() -> None:
    futures = drawn(growth_of(years=HAND, margin=HAND), options=("probe",))
    level = futures.level[0]
    close(level, 23 / 6)
    close((level - 23 / 6) ** 2, 13 / 72)
    close((level <= 4.45227744).astype(float), 0.9)
    close((futures.quantile[0] <= 0.25).astype(float), 0.25)


# Arrivals.


def test_a_stream_shows_up_with_its_chance_and_then_by_the_triangular_law() -> None:
    growth = growth_of(chance=0.6, years=HAND)
    arrival = drawn(growth, clock(6.0, 4)).arrival[0]
    close((arrival < 24).astype(float), 0.6)
    for period in (12, 13, 16, 19):
        share = triang.cdf((period + 1) / 4, 0.25, loc=3, scale=2)
        close((arrival <= period).astype(float), 0.6 * share)
    assert arrival[arrival < 24].min() >= 12
    assert arrival[arrival < 24].max() <= 19


def test_what_would_arrive_after_the_horizon_never_does() -> None:
    arrival = drawn(growth_of(chance=1.0, years=HAND), clock(4.0, 4)).arrival[0]
    close((arrival == 16).astype(float), 1.0 - triang.cdf(4.0, 0.25, loc=3, scale=2))


def present_worth(growth: Growth, timeline: Timeline, futures: Futures) -> Floats:
    """Present value of all margins of the first stream in each future."""
    total = np.zeros(futures.count)
    for t in range(timeline.periods):
        margin = margin_in(growth, timeline, futures, stream=0, period=t)
        total += timeline.during[t] * timeline.dt * margin
    return total


def test_the_present_worth_of_a_stream_is_the_integral_over_its_arrival() -> None:
    timeline = clock(8.0, 4, rate=0.08)
    growth = growth_of(chance=0.7, years=HAND, grows=0.03)

    def worth(arrival: float) -> float:
        start = np.floor(arrival * 4) / 4
        middles = np.arange(start, 8.0, 0.25) + 0.125
        grown = 1.03 ** (middles - 0.125)
        return float((grown * 1.08 ** -(0.5 + middles)).sum() / 4)

    edges = np.arange(3.0, 5.01, 0.25)
    law = triang(0.25, loc=3, scale=2)
    exact = sum(worth(a + 0.1) * (law.cdf(b) - law.cdf(a)) for a, b in pairwise(edges))
    close(present_worth(growth, timeline, drawn(growth, timeline)), 0.7 * exact)


def test_weekly_periods_come_near_the_continuous_integral() -> None:
    # Flows from the moment of arrival; a period starts the week early, half a week on average.
    rate = np.log(1.08)
    law = triang(0.25, loc=3, scale=2)
    exact = quad(
        lambda s: law.pdf(s) * (np.exp(-rate * s) - np.exp(-rate * 8)) / rate, 3, 5, points=[3.5]
    )[0]
    timeline = clock(8.0, 52, rate=0.08, lead=0.0)
    growth = growth_of(chance=1.0, years=HAND)
    worth = present_worth(growth, timeline, drawn(growth, timeline)).mean()
    assert worth == pytest.approx(exact + 0.5 / 52 * 1.08**-3.83, rel=2e-4)


def test_a_stream_lasts_whole_periods_from_its_arrival() -> None:
    timeline = clock(6.0, 4)
    growth = growth_of(years=np.full(3, 1.1), lasts=6)
    futures = drawn(growth, timeline)
    there = [
        t for t in range(24) if margin_in(growth, timeline, futures, stream=0, period=t).mean() > 0
    ]
    assert there == [4, 5, 6, 7, 8, 9]


# Drivers. Orthants: Sheppard's formula, as in Kendall & Stuart, The Advanced Theory of Statistics,
# vol. 1, section on the bivariate normal (from memory); checked here against the closed form.


def sharing(rho: float, chances: tuple[float, ...]) -> Growth:
    """Streams at their outset or never, every pair correlated by `rho` through one driver."""
    loading = np.sqrt(abs(rho))
    signs = np.ones(len(chances))
    signs[0] = np.sign(rho)
    return growth_of(
        chance=np.array(chances), years=np.zeros(3), loadings=(signs * loading)[:, None]
    )


def together(growth: Growth) -> Floats:
    """Whether all streams show up, by future."""
    return np.asarray((drawn(growth, clock(1.0, 1)).arrival == 0).all(axis=0), dtype=float)


@pytest.mark.parametrize(
    ("rho", "value"),
    [
        (0.3, 0.29849334),
        (0.5, 0.33333333),
        (0.7, 0.37340834),
        (0.9, 0.42821685),
        (-0.3, 0.20150666),
    ],
)
def test_two_streams_of_even_chance_come_together_by_the_orthant_formula(
    rho: float, value: float
) -> None:
    assert value == pytest.approx(0.25 + np.arcsin(rho) / (2 * np.pi), abs=5e-9)
    close(together(sharing(rho, (0.5, 0.5))), value)


def test_three_streams_of_even_chance_come_together_by_the_orthant_formula() -> None:
    assert 1 / 8 + 3 * np.arcsin(0.5) / (4 * np.pi) == pytest.approx(0.25)
    close(together(sharing(0.5, (0.5, 0.5, 0.5))), 0.25)


@pytest.mark.parametrize(
    ("chances", "rho", "value"), [((0.3, 0.6), 0.5, 0.24651547), ((0.2, 0.4), 0.3, 0.11366947)]
)
def test_two_streams_of_any_chance_come_together_by_the_bivariate_normal(
    chances: tuple[float, ...], rho: float, value: float
) -> None:
    close(together(sharing(rho, chances)), value)


@pytest.mark.parametrize("nudge", [-1.0, 0.5, 2.0])
def test_a_nudge_shifts_the_chance_by_its_loading(nudge: float) -> None:
    growth = growth_of(
        chance=0.4, years=np.zeros(3), loadings=np.array([[0.6]]), nudge=np.array([nudge])
    )
    arrival = drawn(growth, clock(1.0, 1)).arrival[0]
    close((arrival == 0).astype(float), float(ndtr(ndtri(0.4) + 0.6 * nudge)))


def test_early_work_brings_other_work_early() -> None:
    growth = growth_of(chance=np.array([0.9, 0.9]), years=HAND, loadings=np.array([[0.8], [0.8]]))
    first, second = drawn(growth, clock(6.0, 12)).arrival
    early = first < np.median(first)
    assert second[early].mean() < second[~early].mean() - 2


# Swings: geometric Brownian motion with mean 1.


def paths(volatility: float, years: float, a_year: int, count: int = 16384) -> Floats:
    """Swing of a stream that is there from the start, shape (T, N)."""
    growth = growth_of(years=np.zeros(3), swing=volatility)
    (path,) = drawn(growth, clock(years, a_year), count=count).log_swing
    assert path is not None
    return np.asarray(path - path[0])


@pytest.mark.parametrize("volatility", [0.2, 0.4])
def test_a_swing_has_mean_1_and_the_lognormal_variance(volatility: float) -> None:
    path = paths(volatility, 5.0, 4)
    for t in (1, 8, 19):
        w, spread = np.exp(path[t]), volatility**2 * t / 4
        close(w, 1.0)
        close((w - 1.0) ** 2, np.expm1(spread))
        close(path[t], -spread / 2)
        close(np.maximum(w - 1.2, 0.0), black_scholes(1.2, np.sqrt(spread)))


def black_scholes(strike: float, deviation: float) -> float:
    """E (W - strike)+ for lognormal W of mean 1; closed form."""
    d = -np.log(strike) / deviation + deviation / 2
    return float(norm.cdf(d) - strike * norm.cdf(d - deviation))


def hit_when_watched(barrier: float, deviation: float, dates: int) -> float:
    """P that a driftless-in-mean path is at or above a barrier at one of some dates.

    The density of log W below the barrier carried from date to date on a grid (trapezoid rule;
    halving the grid moves the result by less than 1e-6).
    """
    top, step = np.log(barrier), deviation / 60
    x = top - step * np.arange(int(12 * deviation * np.sqrt(dates) / step))
    kernel_at = np.arange(-9 * 60, 9 * 60 + 1) * step
    down = norm.pdf(kernel_at, -(deviation**2) / 2, deviation) * step
    density = norm.pdf(x, -(deviation**2) / 2, deviation)
    weight = np.ones(len(x))
    weight[0] = 0.5
    for _ in range(dates - 1):
        density = np.convolve(density * weight, down[::-1], mode="same")
    return float(1.0 - (density * weight).sum() * step)


def hit_when_followed(barrier: float, deviation: float) -> float:
    """The same when it is watched all the time; reflection principle, closed form."""
    b, nu = np.log(barrier), -(deviation**2) / 2
    reflected = np.exp(2 * nu * b / deviation**2) * norm.cdf((-b - nu) / deviation)
    return float(norm.cdf((nu - b) / deviation) + reflected)


def test_a_swing_first_passes_a_level_when_it_should() -> None:
    found = (paths(0.25, 5.25, 4).max(axis=0) >= np.log(1.5)).astype(float)
    watched = hit_when_watched(1.5, 0.25 * np.sqrt(0.25), 20)
    close(found, watched)
    assert watched < hit_when_followed(1.5, 0.25 * np.sqrt(5.0))


@pytest.mark.parametrize(("dates", "tolerance"), [(20, 3e-3), (80, 1e-3)])
def test_watching_a_level_at_dates_is_like_following_a_higher_one(
    dates: int, tolerance: float
) -> None:
    # Broadie, Glasserman & Kou, Mathematical Finance 7 (1997) 325-349: higher by the factor
    # exp(.5826 deviation between dates), to less than the order of that deviation (from memory).
    step = 0.25 * np.sqrt(5.0 / dates)
    moved = hit_when_followed(1.5 * np.exp(0.5826 * step), 0.25 * np.sqrt(5.0))
    assert hit_when_watched(1.5, step, dates) == pytest.approx(moved, abs=tolerance)


def test_a_swing_starts_at_1_on_arrival_wherever_its_path_was() -> None:
    timeline = clock(6.0, 4)
    growth = growth_of(years=np.array([0.0, 2.0, 5.0]), swing=0.5)
    futures = drawn(growth, timeline, count=512)
    for t in range(timeline.periods):
        here = futures.arrival[0] == t
        margin = margin_in(growth, timeline, futures, stream=0, period=t)
        assert margin[here] == pytest.approx(futures.level[0][here], rel=1e-12)


# Quasi-random draws.


def test_quasi_random_draws_err_far_less_than_independent_ones() -> None:
    # Three triangular and normal dimensions, 16 sets of 64: at least nine times less variance.
    timeline = clock(8.0, 4, rate=0.08)
    growth = growth_of(chance=0.7, years=HAND, margin=HAND, loadings=np.array([[0.5]]))
    samples = [
        present_worth(
            growth,
            timeline,
            drawn_futures(growth, timeline, options=(), count=1024, seed=seed, use=0),
        )
        for seed in range(60)
    ]
    means = np.array([sample.mean() for sample in samples])
    independent = np.mean([sample.var(ddof=1) for sample in samples]) / 1024
    assert means.var(ddof=1) < independent / 9


def test_standard_errors_are_honest() -> None:
    # 100 seeds against a mean known in closed form; |t| with 15 degrees of freedom stays within
    # 2.131 for 95 of 100, and within 89..99 of them for 99.9 % of such trials (binomial).
    growth = growth_of(chance=0.7, years=HAND, margin=HAND)
    timeline = clock(6.0, 4)
    scores = []
    for seed in range(100):
        futures = drawn_futures(growth, timeline, options=(), count=1024, seed=seed, use=0)
        value = futures.level[0] * (futures.arrival[0] <= 15)
        exact = 23 / 6 * 0.7 * triang.cdf(4.0, 0.25, loc=3, scale=2)
        scores.append((value.mean() - exact) / standard_error(value))
    within = (np.abs(scores) < 2.131).sum()
    assert 87 <= within <= 99


@pytest.mark.parametrize("seed", [0, 7, 2**32 - 1, 2**32, 2**63 - 1, 2**70 + 3])
@pytest.mark.parametrize("name", ["", "work-probe", "\u00d8 8"])
def test_words_make_the_generator_that_whole_numbers_make(name: str, seed: int) -> None:
    made = _generator_of(name, (seed, 1, 3, 2))
    plain = np.random.default_rng([seed, 1, 3, 2, *name.encode()])
    assert made.bit_generator.state == plain.bit_generator.state
