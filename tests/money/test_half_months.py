"""Intervals that are half a month: paid twice a month, on days a half-month apart."""

from datetime import date

import pytest

from optioneer.money.actuarial import UnitPeriod, _half_month, unit_period


@pytest.mark.parametrize(
    ("start", "end", "half"),
    [
        (date(2027, 1, 1), date(2027, 1, 16), True),
        (date(2027, 1, 1), date(2027, 1, 15), True),
        (date(2027, 1, 16), date(2027, 2, 1), True),
        (date(2027, 1, 15), date(2027, 1, 31), True),
        (date(2027, 2, 15), date(2027, 2, 28), True),
        (date(2027, 1, 31), date(2027, 2, 15), True),
        (date(2027, 2, 28), date(2027, 3, 15), True),
        (date(2027, 1, 28), date(2027, 2, 15), False),  # 18 days, and no month-end
        (date(2027, 1, 14), date(2027, 1, 31), False),
        (date(2027, 1, 15), date(2027, 1, 28), False),
        (date(2027, 1, 1), date(2027, 1, 18), False),
        (date(2027, 1, 1), date(2027, 2, 1), False),
    ],
)
def test_which_days_are_half_a_month_apart(start: date, end: date, *, half: bool) -> None:
    assert _half_month(start, end) == half


def test_payments_on_the_fifteenth_and_at_month_end_make_24_unit_periods_a_year() -> None:
    days = [date(2027, 1, 15), date(2027, 1, 31), date(2027, 2, 15), date(2027, 2, 28)]
    found = unit_period([date(2026, 12, 31)], days)
    assert found == UnitPeriod("half-month")
    assert found.per_year == 24
