"""An open retrofit of a swinging stream against QuantLib's finite-difference engine.

The retrofit brings ``worth[t] W_t - price[t]`` in money of the order date (`tests.oracle.waiting`).
With discount factors ``price[t] / price[1]`` and dividend factors ``worth[t] / worth[1]`` that is a
plain Bermudan call on a stock at ``worth[1]`` with strike ``price[1]``, exercised at the starts of
periods 1 .. T - 2 (what is fitted later never works). One period is 100 days of the library's
calendar. Both are measured from period 1, of which the value at period 0 differs by the law of W_1
alone; hence a first curve point of factor 1 at period 0 would move nothing but the date of money.

FdBlackScholesVanillaEngine, 2,000 x 2,000 points; moving either changes 5 digits at most.
"""

import numpy as np
import pytest
import QuantLib as ql  # noqa: N813 - the library's own usual short name

from tests.valuation.retrofit import Retrofit, open_retrofit

DAYS = 100
"""Days of the library's calendar that stand for a period."""

CASES = {
    "calm": Retrofit(open_retrofit(7e3, 0.25)),
    "wild": Retrofit(open_retrofit(7e3, 0.5)),
    "dearer every year": Retrofit(open_retrofit(9e3, 0.4, retrofit_inflation=0.04, grows=0.02)),
}


def by_library(retrofit: Retrofit) -> float:
    """The open retrofit as a Bermudan call."""
    today, count = ql.Date(1, 1, 2030), ql.Actual365Fixed()
    ql.Settings.instance().evaluationDate = today
    last = len(retrofit.price) - 1
    dates = [today + DAYS * t for t in range(last)]

    def curve(factors: np.ndarray[tuple[int], np.dtype[np.float64]]) -> ql.YieldTermStructureHandle:
        discount = (factors[:last] / factors[0]).tolist()
        return ql.YieldTermStructureHandle(ql.DiscountCurve(dates, discount, count))

    yearly = retrofit.volatility / np.sqrt(DAYS / 365)
    flat = ql.BlackConstantVol(today, ql.NullCalendar(), float(yearly), count)
    process = ql.BlackScholesMertonProcess(
        ql.QuoteHandle(ql.SimpleQuote(float(retrofit.worth[0]))),
        curve(retrofit.worth),
        curve(retrofit.price),
        ql.BlackVolTermStructureHandle(flat),
    )
    payoff = ql.PlainVanillaPayoff(ql.Option.Call, float(retrofit.price[0]))
    option = ql.VanillaOption(payoff, ql.BermudanExercise(dates[1:]))
    option.setPricingEngine(ql.FdBlackScholesVanillaEngine(process, 1000, 1000))
    return float(option.NPV())


@pytest.mark.parametrize("name", CASES)
def test_the_lattice_of_the_tests_and_the_library_agree(name: str) -> None:
    retrofit = CASES[name]
    assert retrofit.exact.value == pytest.approx(by_library(retrofit), rel=5e-4)


@pytest.mark.parametrize("name", CASES)
def test_the_engine_attains_the_librarys_value(name: str) -> None:
    retrofit = CASES[name]
    # The lattice's trigger on the same paths takes most of the sampling error out.
    lattice = retrofit.exact
    error = retrofit.followed(lattice.trigger).mean() - lattice.value
    learned = retrofit.saved["learned"].mean() - error
    library = by_library(retrofit)
    assert learned == pytest.approx(library, rel=0.01)
    assert learned <= library * 1.002
