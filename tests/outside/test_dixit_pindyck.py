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

from optioneer.study.problem import problem_of
from optioneer.valuation.futures import Futures
from optioneer.valuation.moves import best_choice
from tests.oracle.cases import case_of, certain, option, stream
from tests.valuation.engine import Engine, engine, every_future
from tests.valuation.retrofit import Retrofit, open_retrofit

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
    price = INVESTMENT * LATE / 1.0
    horizon = {"horizon_years": 60.0, "periods_per_year": 1, "discount_rate": 0.1}
    case = case_of([option("factory", price, 1.0)], streams, growth=horizon)
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


PERPETUAL = 5e-2 * 1600
"""Sixty years for ever: 1.1**-58 = 0.4 % of what a perpetuity is worth."""


def test_waiting_a_year_is_worth_772_73() -> None:
    tail = 0.5 * 300 * 11 * 1.1**-58
    assert waiting_at(200.0) == pytest.approx(772.7273 - tail, abs=0.01)


@pytest.mark.parametrize("price", [120.0, 240.0])
def test_waiting_is_worth_seven_and_a_half_prices_less_727_27(price: float) -> None:
    tail = 0.5 * 1.5 * price * 11 * 1.1**-58
    assert waiting_at(price) == pytest.approx(7.5 * price - 727.2727 - tail, abs=0.01)


@pytest.mark.parametrize(("price", "fits"), [(96.0, None), (98.0, 2), (244.0, 2), (255.0, 1)])
def test_it_waits_between_the_two_prices_and_invests_at_once_above(
    price: float, fits: int | None
) -> None:
    found = factory(price)
    (lattice,), (policy,) = found.problem.lattices, found.policies
    view = found.view(lattice)
    first = next(
        (t for t in (1, 2, 3) if (fitted(found, t)).any()),
        None,
    )
    assert first == fits
    assert view.arrival.shape == (2, 2)
    assert policy.corrections


def fitted(found: Engine, t: int) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Whether the learned policy fits the option at t, by future."""
    (lattice,), (policy,) = found.problem.lattices, found.policies
    view = found.view(lattice)
    choice = best_choice(lattice, view.charges(t), policy.estimate(view, t))
    return np.asarray(choice.state[0] != 0)


# The perpetual option. Only r / sigma**2 matters: 16 % and 40 % a year stand for 4 % and 20 %, so
# that forty years are a hundred and sixty. I = 100,000; V is what the retrofit will earn. Deciding
# a month apart (a third of a year in the book's time) costs something: the lattice says how much.

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


@pytest.mark.parametrize("v", [1.0, 1.5])
def test_the_lattice_comes_near_the_perpetual_value(v: float) -> None:
    retrofit = perpetual(v)
    exact = waiting_of(retrofit)
    closed = 100e3 * worth_at_outset(retrofit) ** 2 / 4
    assert exact == pytest.approx(closed, rel=0.007)
    assert exact < closed


@cache
def waiting_of(retrofit: Retrofit) -> float:
    """The lattice's value; four steps a period are enough for so many periods."""
    return retrofit.on_lattice(steps=4).value


@pytest.mark.parametrize("v", [1.0, 1.5])
def test_the_learned_policy_attains_the_perpetual_value(v: float) -> None:
    retrofit = perpetual(v)
    trigger = retrofit.on_lattice(steps=4).trigger
    error = retrofit.followed(trigger).mean() - waiting_of(retrofit)
    learned = retrofit.saved["learned"].mean() - error
    closed = 100e3 * worth_at_outset(retrofit) ** 2 / 4
    assert learned == pytest.approx(closed, rel=0.02)
    assert learned < closed


def test_the_lattice_fits_from_twice_the_investment_on() -> None:
    # Watched at dates the trigger is lower by exp(-.5826 deviation between them), here 6.5 %.
    retrofit = perpetual(1.0)
    trigger = retrofit.on_lattice(steps=4).trigger
    t = 8 * A_YEAR
    v = trigger[t] * retrofit.worth[t] / retrofit.price[t]
    assert v == pytest.approx(2.0 * np.exp(-0.5826 * retrofit.volatility), rel=0.02)


def test_the_learned_policy_fits_from_about_twice_the_investment_on() -> None:
    retrofit = perpetual(1.0)
    found = retrofit.engine
    (lattice,), (policy,) = found.problem.lattices, found.policies
    view = found.view(lattice)
    seen = []
    for t in range(8 * A_YEAR, 8 * A_YEAR + 12):
        fits = best_choice(lattice, view.charges(t), policy.estimate(view, t)).state[0] != 0
        v = retrofit.w[t] * retrofit.worth[t] / retrofit.price[t]
        seen.append((v[fits].min() + v[~fits].max()) / 2)
    assert np.median(seen) == pytest.approx(1.9, rel=0.1)
