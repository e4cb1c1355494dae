"""Invest or wait: A. K. Dixit & R. S. Pindyck, Investment under Uncertainty, Princeton 1994.

Two periods: chapter 2, section 1, the widget factory, p. 27: price 200 now, next year 300 or 100
for ever with even chances, investment 1600, discount rate 10 %: investing now is worth 600, waiting
a year 773 (exactly 772.73). With first price P waiting is worth 7.5 P - 727 between 96.97 and 249,
from which on it is better to invest at once (these from memory; they follow by hand sums).

Perpetual: chapter 5, section 2: V a geometric Brownian motion with payout 4 %, interest 4 %,
volatility 20 % a year, sunk cost I: beta = 2, invest from V* = 2 I on; waiting is worth
F(V) = V**2 / (4 I) (threshold as quoted widely, sentence from memory; the formula read in
R. L. McDonald, Derivatives Markets, section on perpetual options, eq. 18-21).
"""

from functools import cache

import numpy as np
import pytest

from optioneer.study.problem.arrays import problem_of
from optioneer.valuation.lattice.moves import best_choice
from optioneer.valuation.worlds.futures import Futures
from tests.oracle.cases import case_of, certain, option, stream
from tests.oracle.waiting import Waiting
from tests.valuation.engine import Engine, engine, every_future
from tests.valuation.lattice.retrofit import Retrofit, open_retrofit

INVESTMENT = 1600.0
LATE = 1.1**-1.5
"""What is fitted at the start of a year earns from the middle of the next year on."""


def factory(first_price: float) -> Engine:
    """The widget factory as a retrofit: fitting at the start of year t earns from year t + 1 on.

    Half the first price is certain, as much again is expected of a stream that comes in year 2 or
    never: then the price is half as high again, else half as high. The book's first year is year 2
    here, in which both are expected alike; its first decision is at the start of year 1, when
    nothing is known of year 2, its second at the start of year 2. Sixty years stand for ever.
    """
    streams = [
        stream("sure", certain(0.0), 0.5 * first_price, ["factory"]),
        stream("luck", certain(2.0), first_price, ["factory"], chance=0.5),
    ]
    horizon = {"horizon_years": 60.0, "periods_per_year": 1, "discount_rate": 0.1}
    case = case_of([option("factory", INVESTMENT * LATE, 1.0)], streams, growth=horizon)
    return engine(case, both_futures(every_future(case, problem_of(case))))


def both_futures(every: Futures) -> Futures:
    """The two futures of a hundred that can be: luck in year 2, and none."""
    can_be = np.flatnonzero((every.arrival[0] == 0) & np.isin(every.arrival[1], [2, 60]))
    return Futures(
        arrival=every.arrival[:, can_be],
        level=every.level[:, can_be],
        log_swing=every.log_swing,
        quantile=every.quantile[:, can_be],
    )


def waiting_at(first_price: float) -> float:
    """What the open factory is worth at the book's first decision [the book's money]."""
    found = factory(first_price)
    years = np.arange(60)
    lucky = np.where(years >= 2, 1.5, 0.5) * first_price
    poor = np.full(60, 0.5 * first_price)
    never = (1.1 ** -(years + 0.5) * (lucky + poor) / 2).sum()
    saved = never - (found.learned[frozenset()].mean() - 100e3)
    return float(saved * 1.1**2.5)


def tail(first_price: float) -> float:
    """What the perpetuity of a lucky factory earns after year 59 [the book's money]."""
    return float(0.5 * 1.5 * first_price * 11 * 1.1**-58)


def test_waiting_a_year_is_worth_772_73() -> None:
    assert waiting_at(200.0) == pytest.approx(772.7273 - tail(200.0), abs=0.01)


@pytest.mark.parametrize("price", [120.0, 240.0])
def test_waiting_is_worth_seven_and_a_half_prices_less_727_27(price: float) -> None:
    assert waiting_at(price) == pytest.approx(7.5 * price - 727.2727 - tail(price), abs=0.01)


@pytest.mark.parametrize(("price", "fits"), [(96.0, None), (98.0, 2), (244.0, 2), (255.0, 1)])
def test_it_waits_between_the_two_prices_and_invests_at_once_above(
    price: float, fits: int | None
) -> None:
    found = factory(price)
    assert next((t for t in (1, 2, 3) if fitted(found, t).any()), None) == fits


def fitted(found: Engine, t: int) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Whether the learned policy fits the option at t, by future."""
    (lattice,), (policy,) = found.problem.lattices, found.policies
    view = found.view(lattice)
    now = range(t, t + 1)
    choice = best_choice(
        lattice, view.charges(now), policy.estimate(view, now, view.known_level(now))
    )
    return np.asarray(choice.state[0] != 0)


# The perpetual option. Only r / sigma**2 matters: 16 % and 40 % a year stand for 4 % and 20 %, so
# that forty years are a hundred and sixty. I = 100,000; V is what the retrofit will earn. Decisions
# a month apart (a third of a year in the book's time) lose .6 % of F: the lattice says so.

YEARS, A_YEAR = 40.0, 12
RATE = float(np.expm1(0.16))


@cache
def perpetual(v: float) -> Retrofit:
    """The option to invest 1 (100,000) in a project worth `v`, about, at the start."""
    growth = {"horizon_years": YEARS, "periods_per_year": A_YEAR, "discount_rate": RATE}
    case = open_retrofit(v * 100e3 * 0.16, 0.4, price=100e3, **growth)
    return Retrofit(case, 4096)


def worth_at_outset(retrofit: Retrofit) -> float:
    """V at the start per I."""
    return float(retrofit.worth[0] / retrofit.price[0])


def worth_now(retrofit: Retrofit, t: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """V per I at the start of t, by future."""
    return np.asarray(retrofit.w[t] * retrofit.worth[t] / retrofit.price[t])


@cache
def on_lattice(v: float) -> Waiting:
    """The lattice; four steps a period are enough for so many periods."""
    return perpetual(v).on_lattice(steps=4)


def closed_form(retrofit: Retrofit) -> float:
    """F(V) = V**2 / (4 I)."""
    return float(100e3 * worth_at_outset(retrofit) ** 2 / 4)


@pytest.mark.parametrize("v", [1.0, 1.5])
def test_decisions_at_dates_are_worth_a_little_less_than_the_perpetual_option(v: float) -> None:
    closed = closed_form(perpetual(v))
    assert 0.993 * closed < on_lattice(v).value < closed


@pytest.mark.parametrize("v", [1.0, 1.5])
def test_the_learned_policy_attains_the_perpetual_value_within_two_percent(v: float) -> None:
    # The lattice's trigger on the same paths takes most of the sampling error out.
    retrofit, lattice = perpetual(v), on_lattice(v)
    learned = lattice.value - retrofit.missed("learned", lattice).mean()
    closed = closed_form(retrofit)
    assert 0.98 * closed < learned < closed


def test_decisions_at_dates_fit_from_a_little_below_twice_the_investment_on() -> None:
    # Lower by exp(-.5826 deviation between dates): Broadie, Glasserman & Kou, Mathematical Finance
    # 7 (1997) 325-349 (from memory), here by 6.5 %.
    retrofit, t = perpetual(1.0), 8 * A_YEAR
    v = on_lattice(1.0).trigger[t] * retrofit.worth[t] / retrofit.price[t]
    assert v == pytest.approx(2.0 * np.exp(-0.5826 * retrofit.volatility), rel=0.02)


@pytest.mark.parametrize("year", [2, 4, 8])
def test_the_learned_policy_fits_from_about_twice_the_investment_on(year: int) -> None:
    retrofit, t = perpetual(1.0), year * A_YEAR
    fits, v = fitted(retrofit.engine, t), worth_now(retrofit, t)
    trigger = v[fits].min()
    assert trigger == pytest.approx(2.0, rel=0.12)
    assert (v[~fits] > trigger).mean() <= 0.002, "hardly any future above it waits"
