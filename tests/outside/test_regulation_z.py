"""Regulation Z, 12 CFR Part 1026.

Appendix J, "Annual Percentage Rate Computations for Closed-End Credit Transactions", (b)(9)(i)
and examples (c)(1) to (c)(7); Appendix K, "Total Annual Loan Cost Rate Computations for Reverse
Mortgage Transactions", (b)(8) and (c)(1) to (c)(3). The appendix was calculated with ten digits
and counts a rate as right when it agrees after rounding to two decimals of a percent.

Examples (c)(6)(iii) and (c)(7) are from memory (they reproduce).
"""

from collections.abc import Iterable
from datetime import date, timedelta

import pytest

from optioneer.dates import plus_months
from optioneer.money.actuarial import UnitPeriod, actuarial_rates, unit_period, unit_period_rates
from optioneer.money.discount import Dated

MONTH = UnitPeriod("months", 1)
WEEK = UnitPeriod("weeks", 1)
HALF_MONTH = UnitPeriod("half-month")


def monthly(first: date, amounts: Iterable[float]) -> list[Dated]:
    return [(plus_months(first, k), -amount) for k, amount in enumerate(amounts)]


def weekly(first: date, amounts: Iterable[float], *, weeks: int = 1) -> list[Dated]:
    return [(first + timedelta(weeks=weeks * k), -amount) for k, amount in enumerate(amounts)]


def half_monthly(first: date, amounts: list[float]) -> list[Dated]:
    """On the 1st and the 16th."""
    days = [plus_months(first, k // 2) + timedelta(days=15 * (k % 2)) for k in range(len(amounts))]
    return [(day, -amount) for day, amount in zip(days, amounts, strict=True)]


EXAMPLES = {
    "c1i": ((date(1978, 1, 10), 5000.0), monthly(date(1978, 2, 10), [230] * 24), MONTH, 9.69),
    "c1ii": ((date(1978, 2, 10), 6000.0), monthly(date(1978, 4, 1), [200] * 36), MONTH, 11.82),
    "c1iii": (
        (date(1978, 2, 23), 5000.0),
        half_monthly(date(1978, 3, 1), [219.17] * 24),
        HALF_MONTH,
        10.34,
    ),
    "c1v": ((date(1978, 3, 20), 500.0), weekly(date(1978, 4, 21), [17.60] * 30), WEEK, 14.96),
    "c2i": (
        (date(1978, 1, 10), 5000.0),
        monthly(date(1978, 2, 10), [250] + [230] * 23),
        MONTH,
        10.08,
    ),
    "c3i": (
        (date(1978, 1, 10), 5000.0),
        monthly(date(1978, 2, 10), [230] * 23 + [280]),
        MONTH,
        10.50,
    ),
    "c3ii": (
        (date(1978, 4, 3), 200.0),
        weekly(date(1978, 4, 11), [9.50] * 19 + [30], weeks=2),
        UnitPeriod("weeks", 2),
        12.22,
    ),
    "c4i": (
        (date(1978, 1, 10), 5000.0),
        monthly(date(1978, 2, 10), [250] + [230] * 22 + [280]),
        MONTH,
        10.90,
    ),
    "c5i": (
        (date(1978, 1, 3), 1000.0),
        [(date(1978, 9, 15), -1080.0)],
        UnitPeriod("days", 255),
        11.45,
    ),
    "c5ii": (
        (date(1978, 1, 3), 1000.0),
        [(date(1978, 7, 3), -1044.0)],
        UnitPeriod("months", 6),
        8.80,
    ),
    "c5iv": (
        (date(1978, 1, 3), 1000.0),
        [(date(1980, 1, 3), -1240.0)],
        UnitPeriod("months", 12),
        11.36,
    ),
    "c6i": (
        (date(1978, 1, 25), 2135.0),
        [
            *weekly(date(1978, 2, 20), [100] * 9, weeks=4),
            *weekly(date(1978, 11, 13), [100] * 6, weeks=4),
            *weekly(date(1979, 5, 14), [100] * 6, weeks=4),
            *weekly(date(1979, 11, 12), [100] * 3, weeks=4),
        ],
        UnitPeriod("weeks", 4),
        12.00,
    ),
}


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_rate_of_an_example_agrees_to_two_decimals(name: str) -> None:
    advance, payments, _, published = EXAMPLES[name]
    assert list(actuarial_rates([advance, *payments])) == pytest.approx([published / 100], abs=5e-5)


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_unit_period_of_an_example_is_found_from_its_dates(name: str) -> None:
    (start, _), payments, unit, _ = EXAMPLES[name]
    assert unit_period([start], [day for day, _ in payments]) == unit


@pytest.mark.parametrize(
    ("name", "whole", "part"),
    [
        ("c1i", 1, 0),
        ("c1ii", 1, 19 / 30),
        ("c1iii", 0, 6 / 15),
        ("c1v", 4, 4 / 7),
        ("c3ii", 0, 8 / 14),
        ("c5i", 1, 0),
        ("c5ii", 1, 0),
        ("c5iv", 2, 0),
        ("c6i", 0, 26 / 28),
    ],
)
def test_whole_unit_periods_and_odd_days_to_the_first_payment(
    name: str, whole: int, part: float
) -> None:
    (start, _), payments, unit, _ = EXAMPLES[name]
    assert unit.between(start, payments[0][0]) == pytest.approx((whole, part), abs=1e-12)


def test_c6i_later_runs_start_at_their_published_unit_periods() -> None:
    unit, start = UnitPeriod("weeks", 4), date(1978, 1, 25)
    firsts = [date(1978, 11, 13), date(1979, 5, 14), date(1979, 11, 12)]
    assert [unit.between(start, first) for first in firsts] == [
        (10, 12 / 28),
        (16, 26 / 28),
        (23, 12 / 28),
    ]


def test_b9i_single_advance_and_36_regular_payments() -> None:
    spans = [(k, 0.0) for k in range(37)]
    rates = unit_period_rates(spans, [1000.0] + [-33.61] * 36, per_year=12)
    assert list(rates) == pytest.approx([0.1283], abs=5e-5)


def test_c6iii_graduated_payments_over_thirty_years() -> None:
    yearly = [
        *(291.81, 300.18, 308.78, 317.61, 326.65, 335.92, 345.42, 355.15, 365.12, 375.33),
        *(385.76, 385.42, 385.03, 384.62, 384.17, 383.67, 383.13, 382.54, 381.90, 381.20),
        *(380.43, 379.60, 378.68, 377.69, 376.60, 375.42, 374.13, 372.72, 371.18, 369.50),
    ]
    payments = monthly(date(1978, 6, 1), [amount for amount in yearly for _ in range(12)])
    flows = [(date(1978, 4, 10), 39688.56), *payments]
    assert MONTH.between(date(1978, 4, 10), date(1978, 6, 1)) == (1, 21 / 30)
    assert list(actuarial_rates(flows)) == pytest.approx([0.0980], abs=5e-5)


def test_c7i_staged_advances_before_the_payments() -> None:
    advances = [date(1979, 4, 10), date(1979, 6, 12), date(1979, 9, 18)]
    first = date(1979, 12, 10)
    spans = [MONTH.between(advances[0], day) for day in [*advances, first]]
    assert spans == [(0, 0.0), (2, 2 / 30), (5, 8 / 30), (8, 0.0)]
    flows = [*((day, 20000.0) for day in advances), *monthly(first, [612.36] * 240)]
    assert list(actuarial_rates(flows)) == pytest.approx([0.1025], abs=5e-5)


def grown(amount: float, rate: float, periods: int) -> float:
    return float(amount * (1 + rate) ** periods)


def saved(amount: float, rate: float, periods: int) -> float:
    """What equal sums at the start of each period have grown to at the end."""
    return sum(grown(amount, rate, k) for k in range(1, periods + 1))


@pytest.mark.parametrize(
    ("advances", "owed", "published"),
    [
        ([30000.0] + [0.0] * 9, 103385.84, 0.1317069438),
        ([492.51] * 120, saved(492.51, 0.0075, 120) + grown(4500, 0.0075, 120), 0.009061140),
        (
            [10725.0] + [725.0] * 143,
            saved(725, 0.085 / 12, 144) + grown(14500, 0.085 / 12, 144),
            0.007708844,
        ),
    ],
    ids=["K-c1", "K-c2", "K-c3"],
)
def test_appendix_k_unit_rates_agree_to_their_printed_digits(
    advances: list[float], owed: float, published: float
) -> None:
    spans = [(k, 0.0) for k in range(len(advances) + 1)]
    rates = unit_period_rates(spans, [*advances, -owed], per_year=1)
    assert list(rates) == pytest.approx([published], abs=6e-10)


def test_appendix_k_b8_two_years_of_monthly_advances() -> None:
    spans = [(k, 0.0) for k in range(25)]
    rates = unit_period_rates(spans, [350.0] * 24 + [-14313.08], per_year=12)
    assert list(rates) == pytest.approx([0.4853], abs=5e-5)


@pytest.mark.parametrize(
    ("start", "end", "unit", "expected"),
    [
        # Appendix J (b)(3): a series on the last day of the month keeps to last days.
        (date(2027, 1, 31), date(2027, 2, 28), MONTH, (1, 0.0)),
        (date(2027, 1, 10), date(2028, 7, 10), UnitPeriod("months", 12), (1, 0.5)),
        (date(2027, 1, 10), date(2028, 7, 11), UnitPeriod("months", 12), (1, 182 / 365)),
        (date(2027, 1, 10), date(2027, 9, 15), UnitPeriod("months", 3), (2, 65 / 90)),
    ],
)
def test_other_counting_rules_of_paragraph_b5(
    start: date, end: date, unit: UnitPeriod, expected: tuple[int, float]
) -> None:
    assert unit.between(start, end) == expected


def test_without_a_common_period_the_average_is_rounded_to_a_standard_one() -> None:
    payments = [date(2027, 2, 9), date(2027, 3, 14), date(2027, 4, 11)]
    assert unit_period([date(2027, 1, 10)], payments) == MONTH
