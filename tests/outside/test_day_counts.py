"""Day counts and business days.

2006 ISDA Definitions, section 4.16(f) and (g), as tabled in the ISDA workbook
"30-360-2006ISDADefs.xls"; deltaquants.com, "Day count conventions", as quoted by pyxirr's tests;
QuantLib test-suite/daycounters.cpp (actual/actual ISDA) and businessdayconventions.cpp;
the QuantLib library itself on random dates.
"""

from datetime import date, timedelta

import numpy as np
import pytest
import QuantLib as ql  # type: ignore[import-untyped] # noqa: N813 - no stubs; its users' name

from optioneer.dates import Convention, DayCount, plus_months
from optioneer.money.days import BusinessDays, days_30_360, days_30e_360, year_fraction

ISDA = """
2007-01-15 2007-01-30 15 15 15
2007-01-15 2007-02-15 30 30 31
2007-01-15 2007-07-15 180 180 181
2007-09-30 2008-03-31 180 180 183
2007-09-30 2007-10-31 30 30 31
2007-09-30 2008-09-30 360 360 366
2007-01-15 2007-01-31 16 15 16
2007-01-31 2007-02-28 28 28 28
2007-02-28 2007-03-31 33 32 31
2006-08-31 2007-02-28 178 178 181
2007-02-28 2007-08-31 183 182 184
2007-02-14 2007-02-28 14 14 14
2007-02-26 2008-02-29 363 363 368
2008-02-29 2009-02-28 359 359 365
2008-02-29 2008-03-30 31 31 30
2008-02-29 2008-03-31 32 31 31
2007-02-28 2007-03-05 7 7 5
2007-10-31 2007-11-28 28 28 28
2007-08-31 2008-02-29 179 179 182
2008-02-29 2008-08-31 182 181 184
2008-08-31 2009-02-28 178 178 181
2009-02-28 2009-08-31 183 182 184
"""


@pytest.mark.parametrize("row", ISDA.split("\n")[1:-1])
def test_days_of_the_isda_table(row: str) -> None:
    first, last, bond, euro, actual = row.split()
    start, end = date.fromisoformat(first), date.fromisoformat(last)
    found = (days_30_360(start, end), days_30e_360(start, end), (end - start).days)
    assert found == (int(bond), int(euro), int(actual))


@pytest.mark.parametrize(
    ("start", "end", "day_count", "expected"),
    [
        (date(2007, 12, 28), date(2008, 2, 28), "act/365", 62 / 365),
        (date(2007, 12, 28), date(2008, 2, 28), "act/act", 4 / 365 + 58 / 366),
        (date(2007, 12, 28), date(2008, 2, 29), "act/360", 63 / 360),
        (date(2007, 12, 28), date(2008, 2, 29), "30/360", 61 / 360),
        (date(2007, 10, 31), date(2008, 11, 30), "act/act", 62 / 365 + 334 / 366),
        (date(2007, 10, 31), date(2008, 11, 30), "30E/360", 390 / 360),
        (date(2008, 2, 1), date(2009, 5, 31), "30/360", 480 / 360),
        (date(2008, 2, 1), date(2009, 5, 31), "30E/360", 479 / 360),
        (date(2008, 2, 1), date(2009, 5, 31), "act/act", 335 / 366 + 150 / 365),
        (date(2003, 11, 1), date(2004, 5, 1), "act/act", 0.497724380567),
        (date(1999, 2, 1), date(1999, 7, 1), "act/act", 0.410958904110),
        (date(1999, 7, 1), date(2000, 7, 1), "act/act", 1.001377348604),
        (date(2002, 8, 15), date(2003, 7, 15), "act/act", 0.915068493151),
        (date(2003, 7, 15), date(2004, 1, 15), "act/act", 0.504004790778),
        (date(1999, 7, 30), date(2000, 1, 30), "act/act", 0.503892506924),
        (date(2000, 1, 30), date(2000, 6, 30), "act/act", 0.415300546448),
    ],
)
def test_published_year_fractions(
    start: date, end: date, day_count: DayCount, expected: float
) -> None:
    assert year_fraction(start, end, day_count) == pytest.approx(expected, abs=6e-13)


LIBRARY = {
    "30/360": ql.Thirty360(ql.Thirty360.BondBasis),
    "30E/360": ql.Thirty360(ql.Thirty360.EurobondBasis),
    "act/365": ql.Actual365Fixed(),
    "act/360": ql.Actual360(),
    "act/act": ql.ActualActual(ql.ActualActual.ISDA),
}


@pytest.mark.parametrize("day_count", LIBRARY)
def test_random_year_fractions_agree_with_quantlib(day_count: DayCount) -> None:
    random = np.random.default_rng(30360)
    for offset, length in random.integers(0, 4000, (400, 2)):
        start = date(2024, 1, 1) + timedelta(days=int(offset))
        end = start + timedelta(days=int(length))
        theirs = LIBRARY[day_count].yearFraction(ql.Date.from_date(start), ql.Date.from_date(end))
        assert year_fraction(start, end, day_count) == pytest.approx(theirs, abs=1e-12)


@pytest.mark.parametrize(
    ("convention", "start", "months", "expected"),
    [
        ("following", date(2015, 2, 3), 1, date(2015, 3, 3)),
        ("following", date(2015, 1, 31), 1, date(2015, 3, 2)),
        ("modified-following", date(2015, 1, 31), 1, date(2015, 2, 27)),
        ("modified-following", date(2015, 2, 7), 1, date(2015, 3, 9)),
        ("modified-following", date(2015, 3, 25), 1, date(2015, 4, 28)),  # Freedom Day, 27 April
        ("preceding", date(2015, 3, 1), -1, date(2015, 1, 30)),
        ("modified-preceding", date(2015, 3, 1), -1, date(2015, 2, 2)),
        ("none", date(2015, 1, 31), 1, date(2015, 2, 28)),
    ],
)
def test_business_day_conventions_of_quantlibs_tests(
    convention: Convention, start: date, months: int, expected: date
) -> None:
    days = BusinessDays(convention, country="ZA")
    assert days.moved(plus_months(start, months)) == expected


def test_a_moved_date_is_open_and_an_open_date_stays() -> None:
    days = BusinessDays("following", country="US", subdivision="OH")
    for k in range(800):
        day = date(2026, 12, 1) + timedelta(days=k)
        assert days.is_open(days.moved(day))
        assert days.moved(day) == day or not days.is_open(day)


@pytest.mark.parametrize(
    ("country", "day"),
    [
        # State Council of China, notice on holidays of 2024: work on 4 and 18 February for Spring
        # Festival, on 14 September for Mid-Autumn.
        ("CN", date(2024, 2, 4)),
        ("CN", date(2024, 2, 18)),
        ("CN", date(2024, 9, 14)),
        # Hungary, decree on working days of 2024: 3 August, 7 and 14 December.
        ("HU", date(2024, 8, 3)),
        ("HU", date(2024, 12, 7)),
    ],
)
def test_working_saturdays_and_sundays_are_bank_days_where_the_calendar_has_them(
    country: str, day: date
) -> None:
    days = BusinessDays("following", country=country)
    assert day.weekday() > 4
    assert days.is_open(day)
    assert days.moved(day) == day
    assert not days.is_open(day + timedelta(days=21))


def test_a_payment_moves_to_a_working_saturday_too() -> None:
    """10 to 17 February 2024 are off in China; Sunday 18 February is worked."""
    days = BusinessDays("following", country="CN")
    assert days.moved(date(2024, 2, 13)) == date(2024, 2, 18)
    assert BusinessDays("preceding", country="CN").moved(date(2024, 2, 13)) == date(2024, 2, 9)
