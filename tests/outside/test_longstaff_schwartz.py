"""Least-squares Monte Carlo: F. A. Longstaff & E. S. Schwartz, "Valuing American options by
simulation", Review of Financial Studies 14 (2001) 113-147.

Section 1, pp. 116-120: a put on eight paths, strike 1.10, one period's factor .94176; what
continuing is worth is regressed on a constant, X and X squared over the paths in the money. Here
the engine's own regression and estimate do it. Published coefficients have three decimals; the
published continuation values were worked from them, so they are matched to 1e-3.

Table 1, p. 127: a put, strike 40, interest 6 %, 50 exercise dates a year. By the symmetry of puts
and calls (R. L. McDonald & M. D. Schroder, Journal of Computational Finance 1 (1998) 5-20) it is a
call whose stock pays 6 %, at no interest: the retrofit of `tests.valuation.retrofit`, for what a
retrofit brings is a margin that swings, and waiting forgoes it. Tolerance: three standard errors as
printed. The policy is one that can be followed, so it may not beat the finite differences, which
are the value with 50 dates a year to a tenth of a printed standard error.

What is known in expectation is taken out of each path: the European put that is given up with the
exercise (N. S. Rasmussen, "Control variates for Monte Carlo valuation of American options", Journal
of Computational Finance 9 (2005) 83-118; from memory), and how the path goes on after it. What is
left has a third of the error that the European value at the end leaves.
"""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import pytest
from scipy.special import ndtr

from optioneer.arrays import Floats, Indices
from optioneer.study.problem.arrays import Problem, problem_of
from optioneer.valuation.figures.summary import standard_error
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.cluster import World, policy_of
from optioneer.valuation.timing.learning import inverses
from optioneer.valuation.timing.policy import Correction
from optioneer.valuation.timing.sweep import policy_costs_and_moves
from optioneer.valuation.worlds.timeline import Timeline
from tests.oracle.cases import case_of, certain, option, stream
from tests.oracle.waiting import waiting
from tests.valuation.engine import futures

STRIKE, FACTOR = 1.10, np.exp(-0.06)

PATHS = np.array(
    [
        [1.00, 1.09, 1.08, 1.34],
        [1.00, 1.16, 1.26, 1.54],
        [1.00, 1.22, 1.07, 1.03],
        [1.00, 0.93, 0.97, 0.92],
        [1.00, 1.11, 1.56, 1.52],
        [1.00, 0.76, 0.77, 0.90],
        [1.00, 0.92, 0.84, 1.01],
        [1.00, 0.88, 1.22, 1.34],
    ]
).T
"""Shape (dates, paths)."""

PAID = np.maximum(STRIKE - PATHS, 0.0)


@dataclass(frozen=True)
class Step:
    """One date of the example: which paths are in the money, and what the regression says."""

    fit: Floats
    continuing: Floats
    paths: tuple[int, ...]


def step(date: int, later: Floats) -> Step:
    """The engine's regression of what comes later, shape (8,), on 1, X, X squared."""
    inside = PAID[date] > 0
    x = PATHS[date, inside]
    signals = np.stack([np.ones_like(x), x, x**2])
    cost = later[None, inside]
    slope = (inverses((signals @ signals.T)[None])[0] @ signals @ cost.T).T
    learned = Correction(np.zeros(1), slope, cost.min(axis=1), cost.max(axis=1))
    continuing = learned.estimate(np.zeros_like(cost), signals)[0]
    return Step(slope[0], continuing, tuple(int(path) + 1 for path in np.flatnonzero(inside)))


def exercised(date: int, later: Floats) -> tuple[Step, Floats]:
    """The step, and what each path is worth at the date under the rule that it gives."""
    found = step(date, later)
    worth = later.copy()
    rows = np.array(found.paths) - 1
    better = PAID[date, rows] > found.continuing
    worth[rows[better]] = PAID[date, rows[better]]
    return found, worth


def test_eight_paths_at_the_second_date() -> None:
    found, worth = exercised(2, PAID[3] * FACTOR)
    assert found.paths == (1, 3, 4, 6, 7)
    published = np.array([-1.070, 2.983, -1.813])
    exact = np.array([-1.06998766, 2.98341063, -1.81357618])
    # The table regresses on what is discounted by one period.
    assert found.fit == pytest.approx(exact, abs=1e-6)
    assert found.fit == pytest.approx(published, abs=6e-4)
    assert found.continuing == pytest.approx([0.0369, 0.0461, 0.1176, 0.1520, 0.1565], abs=1e-3)
    assert worth == pytest.approx([0, 0, 0.07 * FACTOR, 0.13, 0, 0.33, 0.26, 0])


def test_eight_paths_at_the_first_date() -> None:
    _, later = exercised(2, PAID[3] * FACTOR)
    found, worth = exercised(1, later * FACTOR)
    assert found.paths == (1, 4, 6, 7, 8)
    assert found.fit == pytest.approx([2.03751234, -3.33544340, 1.35645659], abs=1e-6)
    assert found.fit == pytest.approx([2.038, -3.335, 1.356], abs=6e-4)
    published = [0.0139, 0.1092, 0.2866, 0.1175, 0.1533]
    assert found.continuing == pytest.approx(published, abs=1e-3)
    # Stopped at the first date on paths 4, 6, 7 and 8, at the third on path 3.
    assert worth == pytest.approx([0, 0, 0.07 * FACTOR**2, 0.17, 0, 0.34, 0.18, 0.22])


def test_eight_paths_american_and_european_value() -> None:
    _, later = exercised(2, PAID[3] * FACTOR)
    _, worth = exercised(1, later * FACTOR)
    assert (worth * FACTOR).mean() == pytest.approx(0.1144, abs=5e-5)
    assert (worth * FACTOR).mean() == pytest.approx(0.1144343300, abs=1e-9)
    assert (PAID[3] * FACTOR**3).mean() == pytest.approx(0.0564, abs=5e-5)


RATE, A_YEAR, PUT_STRIKE, PATHS_DRAWN = 0.06, 50, 40.0, 8192
"""A year has 50 dates; here a date is a period, half 'a year' of the model."""

SEEDS = {(0.20, 1): 7, (0.40, 1): 8, (0.20, 2): 9, (0.40, 2): 10}
"""Of the paths, by volatility and years."""

TABLE_1 = [
    (36, 0.20, 1, 4.478, 3.844, 4.472, 0.010),
    (38, 0.20, 1, 3.250, 2.852, 3.244, 0.009),
    (40, 0.20, 1, 2.314, 2.066, 2.313, 0.009),
    (42, 0.20, 1, 1.617, 1.465, 1.617, 0.007),
    (44, 0.20, 1, 1.110, 1.017, 1.118, 0.007),
    (36, 0.40, 1, 7.101, 6.711, 7.091, 0.020),
    (38, 0.40, 1, 6.148, 5.834, 6.139, 0.019),
    (40, 0.40, 1, 5.312, 5.060, 5.308, 0.018),
    (42, 0.40, 1, 4.582, 4.379, 4.588, 0.017),
    (44, 0.40, 1, 3.948, 3.783, 3.957, 0.017),
    (36, 0.20, 2, 4.840, 3.763, 4.821, 0.012),
    (38, 0.20, 2, 3.745, 2.991, 3.735, 0.011),
    (40, 0.20, 2, 2.885, 2.356, 2.879, 0.010),
    (42, 0.20, 2, 2.212, 1.841, 2.206, 0.010),
    (44, 0.20, 2, 1.690, 1.429, 1.675, 0.009),
    (36, 0.40, 2, 8.508, 7.700, 8.488, 0.024),
    (38, 0.40, 2, 7.670, 6.979, 7.669, 0.022),
    (40, 0.40, 2, 6.920, 6.326, 6.921, 0.022),
    (42, 0.40, 2, 6.248, 5.736, 6.243, 0.021),
    (44, 0.40, 2, 5.647, 5.202, 5.622, 0.021),
]
"""Stock, volatility, years, finite difference, European, simulated, its standard error.

The rows of stock 38 and 44 are from memory; their European values and finite differences are
reproduced below. Rows that differ in the stock alone stand together, for they share their paths.
"""

NAMES = [f"{row[0]} at {row[1]:.0%} for {row[2]}" for row in TABLE_1]


@dataclass(frozen=True)
class Clock(Timeline):
    """Money's worth such that a margin of 1 from a date on is worth the strike at that date."""

    @cached_property
    def during(self) -> Floats:
        """In a date's period the strike loses interest; what is left comes in the last period."""
        dates = self.periods - 2
        strike = PUT_STRIKE * np.exp(-RATE * np.arange(dates + 2) / A_YEAR)
        flows = strike[:-1] - strike[1:]
        # What is fitted at a date works from the next period on.
        paid = np.concatenate([[0.0], flows[:dates], strike[dates : dates + 1]])
        return paid / self.dt


@dataclass(frozen=True)
class Put:
    """The put as a retrofit: what it brings is the strike, what it costs the stock."""

    stock: float
    volatility: float
    years: int

    @property
    def dates(self) -> int:
        """Number of dates on which it can be exercised."""
        return A_YEAR * self.years

    @cached_property
    def problem(self) -> Problem:
        """A stream that is there from the start, and the option it needs; a period is a date."""
        swing = self.volatility / np.sqrt(A_YEAR / 2)
        work = stream("work", certain(0.0), 1.0, ["put"], swing=swing)
        years = (self.dates + 2) / 2
        horizon = {"horizon_years": years, "periods_per_year": 2, "discount_rate": 0.0}
        return problem_of(case_of([option("put", self.stock, 1.0)], [work], growth=horizon))

    @property
    def world(self) -> World:
        """Futures to value on and to learn from."""
        return drawn(self.volatility, self.years)

    def paths(self) -> World:
        """The same, drawn now."""
        found, seed = self.problem, SEEDS[self.volatility, self.years]
        clock = Clock(lead=0.0, periods=self.dates + 2, periods_per_year=2, rate=0.0)
        drawn = [futures(found, PATHS_DRAWN, seed=seed, use=use) for use in range(2)]
        return World(clock, found.growth, None, drawn[0], drawn[1])

    @cached_property
    def swing(self) -> Floats:
        """How the strike's worth has moved at each date, shape (dates + 2, N); a martingale."""
        path = self.world.valued.log_swing[0]
        assert path is not None
        return np.asarray(np.exp(path[: self.dates + 2] - path[0]))

    @cached_property
    def saved_and_exercised(self) -> tuple[Floats, Indices]:
        """What the engine's open retrofit brings on each path, and when it is fitted, shape (N,).

        Where it never is, the date is the last one.
        """
        (lattice,) = self.problem.lattices
        world = self.world
        view = View(lattice, world.timeline, world.growth, None, world.valued)
        policy = policy_of(world, lattice, map)
        assert policy.ruled is None or not policy.ruled[0]
        (cost,), moves = policy_costs_and_moves(view, [policy])
        fitted = moves.learned[1 : self.dates + 1, 0] != 0
        date = np.where(fitted.any(axis=0), fitted.argmax(axis=0) + 1, self.dates + 1)
        return np.asarray(margin_of(self.volatility, self.years) - cost[0]), date

    @cached_property
    def brought_after(self) -> Floats:
        """What comes in after each date on each path, shape (dates + 2, N)."""
        flows = (self.world.timeline.during * self.world.timeline.dt)[:, None] * self.swing
        later = np.cumsum(flows[::-1], axis=0)[::-1]
        return np.concatenate([later[1:], np.zeros((1, later.shape[1]))])

    def european(self, date: Indices) -> Floats:
        """The put's worth at a date of each path when only the last can be one of exercise, (N,).

        Black and Scholes 1973; on the last date what it pays.
        """
        left = self.volatility * np.sqrt((self.dates - date) / A_YEAR) + 1e-12
        strike = PUT_STRIKE * np.exp(-RATE * self.years) * self.swing[date, np.arange(date.size)]
        d = np.log(strike / self.stock) / left + 0.5 * left
        return np.asarray(strike * ndtr(d) - self.stock * ndtr(d - left))


@lru_cache(maxsize=1)
def drawn(volatility: float, years: int) -> World:
    """Paths of a stock, wherever it starts."""
    return Put(PUT_STRIKE, volatility, years).paths()


@lru_cache(maxsize=1)
def margin_of(volatility: float, years: int) -> Floats:
    """What the put's work brings on each path when it can be done from the start, shape (N,)."""
    (lattice,) = Put(PUT_STRIKE, volatility, years).problem.lattices
    world = drawn(volatility, years)
    view = View(lattice, world.timeline, world.growth, None, world.valued)
    periods = [range(t, t + 1) for t in range(world.timeline.periods)]
    margins = (view.expected_margin(view.known_level(each), each).sum(axis=0) for each in periods)
    return np.asarray(sum(margins))


@pytest.mark.parametrize("row", TABLE_1, ids=NAMES)
def test_table_1(row: tuple[float, ...]) -> None:
    stock, volatility, years, differences, european, simulated, error = row
    put = Put(stock, volatility, int(years))
    (saved, date), path = put.saved_and_exercised, np.arange(PATHS_DRAWN)
    exercised = date <= put.dates
    brought = np.where(exercised, put.brought_after[date, path], 0.0)
    assert saved == pytest.approx(brought - stock * exercised, abs=1e-9)
    at_end = put.european(np.full_like(date, put.dates))
    assert at_end.mean() == pytest.approx(european, abs=4 * standard_error(at_end))
    # The paper has twelve times as many paths, so that both errors count.
    strike = PUT_STRIKE * np.exp(-RATE * date / A_YEAR) * put.swing[date, path]
    early = saved - (brought - strike * exercised) - put.european(np.minimum(date, put.dates))
    own, found = standard_error(early), early.mean() + european
    assert own < 0.75 * error
    assert found == pytest.approx(simulated, abs=3 * np.hypot(error, own))
    assert differences - 3 * error <= found <= differences + 3 * own


@pytest.mark.parametrize("row", TABLE_1, ids=NAMES)
def test_the_published_values_are_those_of_the_formula_and_of_a_tree(
    row: tuple[float, ...],
) -> None:
    """Black and Scholes 1973; a binomial tree, within what the paper's own grid is off by."""
    stock, volatility, years, differences, european, _, _ = row
    deviation = volatility * np.sqrt(years)
    d = (np.log(stock / PUT_STRIKE) + RATE * years) / deviation + 0.5 * deviation
    strike = PUT_STRIKE * np.exp(-RATE * years)
    assert strike * ndtr(deviation - d) - stock * ndtr(-d) == pytest.approx(european, abs=6e-4)
    worth = PUT_STRIKE * np.exp(-RATE * np.arange(A_YEAR * int(years) + 1) / A_YEAR)
    tree = waiting(
        worth, np.full(len(worth), stock), volatility=volatility / np.sqrt(A_YEAR), steps=10
    )
    off = 0.008 if (volatility, years) == (0.40, 2) else 0.003
    assert tree.value == pytest.approx(differences, abs=off)
