"""US tax depreciation.

IRS Publication 946 (2025), Appendix A, tables A-1 to A-5 (MACRS percentages), "Which convention
applies?" and "Figuring the deduction" (worked examples); 26 U.S.C. 179(b)(2) with the figures
for 2025. The transcribed tables agree in three independent copies.
"""

from typing import Literal

import pytest

from optioneer.money.cents import rounded
from optioneer.money.tax import (
    declining_balance,
    depreciation,
    expensing_limit,
    macrs,
    mid_quarter_applies,
)

Quarter = Literal[1, 2, 3, 4] | None
TABLES: dict[tuple[int, Quarter], list[float]] = {
    (3, None): [33.33, 44.45, 14.81, 7.41],
    (5, None): [20.00, 32.00, 19.20, 11.52, 11.52, 5.76],
    (7, None): [14.29, 24.49, 17.49, 12.49, 8.93, 8.92, 8.93, 4.46],
    (10, None): [10.00, 18.00, 14.40, 11.52, 9.22, 7.37, 6.55, 6.55, 6.56, 6.55, 3.28],
    (15, None): [
        *(5.00, 9.50, 8.55, 7.70, 6.93, 6.23, 5.90, 5.90),
        *(5.91, 5.90, 5.91, 5.90, 5.91, 5.90, 5.91, 2.95),
    ],
    (20, None): [
        *(3.750, 7.219, 6.677, 6.177, 5.713, 5.285, 4.888, 4.522, 4.462, 4.461, 4.462),
        *(4.461, 4.462, 4.461, 4.462, 4.461, 4.462, 4.461, 4.462, 4.461, 2.231),
    ],
    (3, 1): [58.33, 27.78, 12.35, 1.54],
    (5, 1): [35.00, 26.00, 15.60, 11.01, 11.01, 1.38],
    (7, 1): [25.00, 21.43, 15.31, 10.93, 8.75, 8.74, 8.75, 1.09],
    (10, 1): [17.50, 16.50, 13.20, 10.56, 8.45, 6.76, 6.55, 6.55, 6.56, 6.55, 0.82],
    (3, 2): [41.67, 38.89, 14.14, 5.30],
    (5, 2): [25.00, 30.00, 18.00, 11.37, 11.37, 4.26],
    (7, 2): [17.85, 23.47, 16.76, 11.97, 8.87, 8.87, 8.87, 3.34],
    (10, 2): [12.50, 17.50, 14.00, 11.20, 8.96, 7.17, 6.55, 6.55, 6.56, 6.55, 2.46],
    (3, 3): [25.00, 50.00, 16.67, 8.33],
    (5, 3): [15.00, 34.00, 20.40, 12.24, 11.30, 7.06],
    (7, 3): [10.71, 25.51, 18.22, 13.02, 9.30, 8.85, 8.86, 5.53],
    (10, 3): [7.50, 18.50, 14.80, 11.84, 9.47, 7.58, 6.55, 6.55, 6.56, 6.55, 4.10],
    (3, 4): [8.33, 61.11, 20.37, 10.19],
    (5, 4): [5.00, 38.00, 22.80, 13.68, 10.94, 9.58],
    (7, 4): [3.57, 27.55, 19.68, 14.06, 10.04, 8.73, 8.73, 7.64],
    (10, 4): [2.50, 19.50, 15.60, 12.48, 9.98, 7.99, 6.55, 6.55, 6.56, 6.55, 5.74],
}


@pytest.mark.parametrize(("years", "quarter"), TABLES)
def test_a_percentage_table_reproduces_cell_by_cell(years: int, quarter: Quarter) -> None:
    percents = [round(100 * share, 3) for share in macrs(years, quarter)]
    assert percents == TABLES[years, quarter]


def test_the_20_year_first_quarter_table_keeps_its_two_printed_slips() -> None:
    percents = [round(100 * share, 3) for share in macrs(20, 1)]
    assert (percents[1], percents[20]) == (7.000, 0.565)


def test_seven_year_property_of_ten_thousand() -> None:
    amounts = depreciation(10_000_00, macrs(7))
    assert [amount // 100 for amount in amounts] == [1429, 2449, 1749, 1249, 893, 892, 893, 446]


def test_more_than_forty_percent_in_the_last_quarter_calls_for_mid_quarter() -> None:
    assert mid_quarter_applies(5000, 10000)
    assert not mid_quarter_applies(4000, 10000)


def test_a_mid_quarter_year_with_machine_furniture_and_computer() -> None:
    rows = [(4000, 7, 1), (1000, 7, 3), (5000, 5, 4)]
    years = [
        [rounded(cost * share) for share in macrs(life, quarter)[:2]]
        for cost, life, quarter in rows
    ]
    assert years == [[1000, 857], [107, 255], [250, 1900]]


def test_five_year_property_without_tables() -> None:
    amounts = depreciation(1000_00, declining_balance(5, 2.0, 0.5))
    assert amounts == (200_00, 320_00, 192_00, 115_20, 115_20, 57_60)


def test_bonus_first_then_the_table_on_what_is_left() -> None:
    amounts = depreciation(600_000_00, macrs(7), first_year=240_000_00)
    assert amounts[0] == 291_444_00
    assert sum(amounts) == 600_000_00


@pytest.mark.parametrize(
    ("placed", "most"),
    [(4_300_000, 2_200_000), (6_500_000, 0), (7_000_000, 0), (300_000, 2_500_000)],
)
def test_the_expensing_limit_of_2025_shrinks_above_its_threshold(
    placed: float, most: float
) -> None:
    assert expensing_limit(2_500_000, 4_000_000, placed) == most


@pytest.mark.parametrize(
    ("years", "factor", "span", "published"),
    [
        (120, 2.0, (6, 18), 396.3060533),
        (120, 1.5, (6, 18), 311.8089366),
        (10, 2.0, (0, 1), 480.0),
        (120, 2.0, (0, 1), 40.0),
    ],
)
def test_declining_balance_examples_of_a_spreadsheets_reference(
    years: int, factor: float, span: tuple[int, int], published: float
) -> None:
    # VDB and DDB of 2400, from a vendor's function reference as quoted by open test suites
    shares = declining_balance(years, factor)
    assert 2400 * sum(shares[slice(*span)]) == pytest.approx(published, abs=5e-7)
