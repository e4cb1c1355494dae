"""An open retrofit of a swinging stream against QuantLib's finite-difference engine.

The retrofit brings ``worth[t] W_t - price[t]`` in money of the order date (`tests.oracle.waiting`).
With discount factors ``price[t] / price[0]`` and dividend factors ``worth[t] / worth[0]`` that is a
plain Bermudan call with strike ``price[0]`` on a stock at ``worth[0]``, exercised at the starts of
periods 1 .. T - 2 (what is fitted later never works). One period is 100 days of the library's
calendar.

FdBlackScholesVanillaEngine, 1,000 x 1,000 points; it and the lattice of the tests agree to .05 %.
"""

import numpy as np
import pytest
import QuantLib as ql  # type: ignore[import-untyped]  # noqa: N813 - no stubs; its usual name

from optioneer.valuation.figures.summary import standard_error
from tests.valuation.lattice.retrofit import Retrofit, open_retrofit

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
    missed = retrofit.missed("learned")
    assert standard_error(missed) < 0.005 * retrofit.exact.value
    learned = retrofit.exact.value - missed.mean()
    assert learned == pytest.approx(by_library(retrofit), rel=0.02)
