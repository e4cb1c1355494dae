"""The table of tax years: dated, sourced, and the figures of its sources.

2023, 2024: IRS Publication 946 of the year; 2025: P.L. 119-21 and IRS Notice 2026-11; 2026:
Rev. Proc. 2025-32 (read in summaries of these sources).
"""

from datetime import date

import pytest

from optioneer.model.tax_years import tax_years


@pytest.mark.parametrize(
    ("year", "limit", "threshold"),
    [
        (2023, 1_160_000, 2_890_000),
        (2024, 1_220_000, 3_050_000),
        (2025, 2_500_000, 4_000_000),
        (2026, 2_560_000, 4_090_000),
    ],
)
def test_expensing_limits(year: int, limit: float, threshold: float) -> None:
    assert (tax_years()[year].limit, tax_years()[year].threshold) == (limit, threshold)


@pytest.mark.parametrize(
    ("year", "acquired", "rate"),
    [
        (2023, date(2023, 6, 1), 0.80),
        (2024, date(2024, 6, 1), 0.60),
        (2025, date(2025, 1, 19), 0.40),
        (2025, date(2025, 1, 20), 1.00),
        (2026, date(2024, 12, 1), 0.20),
        (2026, date(2026, 3, 1), 1.00),
    ],
)
def test_bonus_rates_depend_on_the_day_of_acquisition(
    year: int, acquired: date, rate: float
) -> None:
    assert tax_years()[year].bonus_rate(acquired) == rate


def test_every_year_names_its_source() -> None:
    assert all(one.source for one in tax_years().values())
