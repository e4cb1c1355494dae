"""Loans, rents and discount factors against printed schedules and tables.

numpy-financial, docstring of `ipmt`; European Commission, "Examples for the calculation of the
annual percentage rate of charge" (January 2015), pages 76 and 173-174 and the instalments of
section 2.1; accountingbasics.lifestylecpa.com, loan tutorial; a spreadsheet vendor's reference
(PMT, PPMT, IPMT) as quoted by open test suites; IFRS 16 illustrative examples 13, 17 and 24 as
worked in public sheets; lecture slides of White et al., Principles of Engineering Economic
Analysis, 5th ed., example 11.3.
"""

from datetime import date

import numpy as np
import numpy_financial as npf  # type: ignore[import-untyped] # no stubs
import pytest

from optioneer.dates import plus_months
from optioneer.money.cents import rounded
from optioneer.money.days import year_fraction
from optioneer.money.discount import discount_factor
from optioneer.money.loan import LoanTerms, level_payment, schedule

START = date(2027, 1, 15)


def annuity_factor(rate: float, periods: int) -> float:
    return sum(discount_factor(rate, period) for period in range(1, periods + 1))


def monthly(count: int, start: date = START) -> tuple[date, ...]:
    return tuple(plus_months(start, k + 1) for k in range(count))


def loan(amount: float, rate: float, months: int) -> LoanTerms:
    return LoanTerms(rate=rate, draws=((START, rounded(100 * amount)),), due=monthly(months))


@pytest.mark.parametrize(
    ("amount", "rate", "months", "published"),
    [
        (200000, 0.06, 240, 1432.86),
        (200000, 0.06, 360, 1199.10),
        (200000, 0.05, 240, 1319.91),
        (208000, 0.06, 240, 1490.18),
        (100000, 0.06, 180, 843.86),
        (100000, 0.055, 180, 817.08),
        (30000, 0.075, 120, 356.11),
        (170000, 0.06, 240, 1217.93),
        (10000, 0.08, 60, 202.76),
        (10000, 0.08, 10, 1037.03),
    ],
)
def test_published_level_instalments(
    amount: float, rate: float, months: int, published: float
) -> None:
    assert rounded(level_payment(loan(amount, rate, months))) == rounded(100 * published)


def test_the_schedule_of_numpy_financials_docstring() -> None:
    interest = [17.17, 15.79, 14.40, 13.01, 11.60, 10.18, 8.76, 7.32, 5.88, 4.42, 2.96, 1.49]
    balance = [2299.42, 2097.46, 1894.11, 1689.37, 1483.22, 1275.66]
    balance += [1066.67, 856.25, 644.38, 431.05, 216.26, 0.0]
    rows = schedule(loan(2500, 0.0824, 12), float)[1:]
    assert [row.interest / 100 for row in rows] == pytest.approx(interest, abs=0.00501)
    assert [row.balance / 100 for row in rows] == pytest.approx(balance, abs=0.00501)
    assert sum(row.interest for row in rows) / 100 == pytest.approx(112.98, abs=0.005)


def test_whole_cents_stay_within_cents_of_the_printed_schedule() -> None:
    exact, whole = schedule(loan(2500, 0.0824, 12), float), schedule(loan(2500, 0.0824, 12))
    assert [row.balance for row in whole] == pytest.approx([row.balance for row in exact], abs=3)
    assert whole[-1].balance == 0


def test_the_first_year_of_a_twenty_year_loan() -> None:
    rows = schedule(loan(200000, 0.06, 240), float)[1:]
    published = {1: (1000.00, 432.86, 199567.14), 2: (997.84, 435.03, 199132.11)}
    published |= {3: (995.66, 437.20, 198694.91), 6: (989.07, 443.79, 197370.15)}
    published |= {12: (975.59, 457.27, 194660.40)}
    for month, figures in published.items():
        row = rows[month - 1]
        found = (row.interest / 100, row.principal / 100, row.balance / 100)
        assert found == pytest.approx(figures, abs=0.00501)
    assert sum(row.interest for row in rows[:12]) / 100 == pytest.approx(11854.75, abs=0.00501)
    assert sum(row.interest for row in rows) / 100 == pytest.approx(143886.91, abs=0.00501)


def test_what_is_left_after_five_years_is_the_early_payoff() -> None:
    terms = loan(200000, 0.05, 240)
    early = LoanTerms(rate=0.05, draws=terms.draws, due=terms.due, payoff=terms.due[59])
    last = schedule(early, float)[-1]
    assert last.kind == "payoff"
    assert last.paid / 100 == pytest.approx(166909.73, abs=0.00501)


def test_a_balloon_of_what_a_thirty_year_loan_owes_after_fifteen_years() -> None:
    terms = LoanTerms(rate=0.06, draws=((START, 200_000_00),), due=monthly(180), balloon=142_097_69)
    assert rounded(level_payment(terms)) == 1199_10


def test_interest_only_to_the_end_repays_all_at_the_end() -> None:
    terms = LoanTerms(rate=0.07, draws=((START, 200_000_00),), due=monthly(240), interest_only=239)
    rows = schedule(terms)[1:]
    assert {row.paid for row in rows[:-1]} == {1166_67}
    assert rows[-1].principal == 200_000_00


def test_equal_principal_of_example_13() -> None:
    terms = LoanTerms(
        rate=0.06, draws=((START, 200_000_00),), due=monthly(240), equal_principal=True
    )
    rows = schedule(terms, float)[1:]
    assert rows[0].paid / 100 == pytest.approx(1833.33, abs=0.00501)
    assert rows[-1].paid / 100 == pytest.approx(837.50, abs=0.00501)


def test_fixed_instalments_of_example_11_end_with_the_rest() -> None:
    terms = LoanTerms(rate=0.06, draws=((START, 200_000_00),), due=monthly(240), payment=1500_00)
    rows = schedule(terms, float)[1:]
    assert len(rows) == 221
    assert {round(row.paid, 6) for row in rows[:-1]} == {1500_00}
    assert rows[-1].paid / 100 == pytest.approx(407.70, abs=0.00501)


def test_steps_that_rise_three_percent_a_year_of_example_9() -> None:
    weights = tuple(1.03 ** (k // 12) for k in range(240))
    terms = LoanTerms(rate=0.06, draws=((START, 200_000_00),), due=monthly(240), weights=weights)
    assert level_payment(terms) / 100 == pytest.approx(1130.3327, abs=5e-5)
    assert schedule(terms)[-2].paid == 1982_05


def test_staged_draws_of_page_173_with_interest_added_monthly() -> None:
    nominal = 12 * (1.07 ** (1 / 12) - 1)
    draws = ((START, 7500_00), (plus_months(START, 3), 7500_00), (plus_months(START, 6), 15000_00))
    terms = LoanTerms(
        rate=nominal, draws=draws, due=(plus_months(START, 12),), settled=monthly(11), added=True
    )
    rows = schedule(terms, float)
    published = [7500, 7542.41, 7585.05, 7627.94, 15127.94, 15213.47, 15299.49]
    published += [15386.00, 30386.00, 30557.81, 30730.58, 30904.34, 31079.08, 31254.80]
    assert [row.balance / 100 for row in rows[:-1]] == pytest.approx(published, abs=0.00501)
    assert rows[-1].paid / 100 == pytest.approx(31431.52, abs=0.00501)


def test_staged_draws_of_page_174_bear_interest_from_their_day() -> None:
    nominal = 12 * (1.07 ** (1 / 12) - 1)
    draws = ((START, 7500_00), (plus_months(START, 3), 7500_00))
    rows = schedule(LoanTerms(rate=nominal, draws=draws, due=monthly(4)[3:], settled=monthly(3)))
    # without repayments the first three months bear 42.41 each, the fourth twice as much
    assert [row.interest for row in rows if row.interest] == [42_41, 42_41, 42_41, 84_81]


@pytest.mark.parametrize(("day_count", "published"), [("act/360", 218.40), ("act/365", 215.41)])
def test_91_days_of_interest(day_count: str, published: float) -> None:
    # galvin-hoffman slides: 7200 at 12 % for 91 days
    years = year_fraction(date(2027, 1, 1), date(2027, 4, 2), day_count)  # type: ignore[arg-type] # both are day counts
    assert 7200 * 0.12 * years == pytest.approx(published, abs=0.005)


def test_random_level_instalments_agree_with_numpy_financial() -> None:
    random = np.random.default_rng(60)
    for _ in range(500):
        amount = float(random.uniform(1e3, 2e6))
        rate, months = float(random.uniform(0, 0.25)), int(random.integers(1, 180))
        balloon = float(random.uniform(0, 0.5)) * amount
        terms = LoanTerms(
            rate=rate,
            draws=((START, rounded(100 * amount)),),
            due=monthly(months),
            balloon=rounded(100 * balloon),
        )
        theirs = -npf.pmt(rate / 12, months, amount, -balloon) * 100
        assert level_payment(terms) == pytest.approx(float(theirs), abs=2.0)


@pytest.mark.parametrize(
    ("rent", "count", "rate", "in_advance", "published"),
    [
        (50000, 10, 0.05, True, 405391),
        (50000, 10, 0.06, False, 368004),
        (100000, 10, 0.06, False, 736009),
        (100000, 8, 0.07, False, 597130),
        (100000, 4, 0.06, False, 346511),
        (120000, 18, 0.045, False, 1459199),
    ],
)
def test_lease_liabilities_of_the_ifrs_16_examples(
    rent: float, count: int, rate: float, *, in_advance: bool, published: float
) -> None:
    factor = 1 + annuity_factor(rate, count - 1) if in_advance else annuity_factor(rate, count)
    assert rent * factor == pytest.approx(published, abs=1)


def test_discount_and_annuity_factors_of_the_slides() -> None:
    factors = (annuity_factor(0.15, 5), discount_factor(0.15, 5), discount_factor(0.15, 10))
    assert factors == pytest.approx((3.35216, 0.49718, 0.24718), abs=6e-6)
    assert 1 / annuity_factor(0.15, 10) == pytest.approx(0.19925, abs=6e-6)


@pytest.mark.parametrize(
    ("years", "factors"),
    [
        (10, [8.75, 8.53, 8.32, 8.11, 7.91, 7.02, 6.14, 5.02]),
        (15, [12.38, 11.94, 11.52, 11.12, 10.74, 9.11, 7.61, 5.85]),
    ],
)
def test_annuity_factors_of_a_handbook_table(years: int, factors: list[float]) -> None:
    # engineersedge.com, life-cycle cost factors (it names the ASHRAE Pocket Guide 2013)
    rates = [0.025, 0.03, 0.035, 0.04, 0.045, 0.07, 0.10, 0.15]
    found = [annuity_factor(rate, years) for rate in rates]
    assert found == pytest.approx(factors, abs=0.0051)
