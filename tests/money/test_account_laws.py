"""What an account below zero costs, and what is seen of it, against counting day by day."""

from datetime import date, timedelta

import pytest
from hypothesis import example, given
from hypothesis import strategies as some

from optioneer.dates import month_end
from optioneer.money.actuarial import actuarial_rates, unit_period
from optioneer.money.credit import interest_below_zero
from optioneer.money.lease import rent_dates
from optioneer.money.ledger import lowest

FIRST = date(2027, 1, 20)


def days_of(balances: list[int]) -> list[tuple[date, int]]:
    return [(FIRST + timedelta(days=n), cents) for n, cents in enumerate(balances)]


@given(some.lists(some.integers(-(10**7), 10**6), min_size=1, max_size=120))
@example([-(10**7)] * 120)  # four ends of months, each on what the ones before took
def test_interest_below_zero_is_borne_by_what_earlier_interest_took_as_well(
    balances: list[int],
) -> None:
    daily, rate = days_of(balances), 0.12
    told = dict(interest_below_zero(daily, rate))
    taken, open_interest = 0, 0.0
    for day, balance in daily:
        standing = balance - taken
        open_interest += -standing * rate / 365 if standing < 0 else 0.0
        if day == month_end(day) or day == daily[-1][0]:
            cents = told.get(day, 0)
            assert cents == pytest.approx(open_interest, abs=0.5 + 1e-6)
            taken, open_interest = taken + cents, 0.0 if cents else open_interest
    assert set(told) <= {day for day, _ in daily}


def test_the_lowest_balance_is_told_with_the_first_day_that_has_it() -> None:
    assert lowest(days_of([500, 300, 100, 400, 100])) == (FIRST + timedelta(days=2), 100)


@pytest.mark.parametrize("ahead", [0, 1, 3])
def test_rents_paid_ahead_fall_due_on_the_first_day(ahead: int) -> None:
    days = rent_dates(date(2027, 1, 31), rents=6, in_advance=ahead)
    assert len(days) == 6
    assert days.count(date(2027, 1, 31)) == ahead
    assert days == sorted(days)


def test_money_that_goes_one_way_only_has_no_rate() -> None:
    assert actuarial_rates([(FIRST, 100.0), (FIRST + timedelta(days=30), 5.0)]) == ()
    assert actuarial_rates([(FIRST, -100.0)]) == ()


def test_intervals_that_never_repeat_are_taken_for_the_nearest_usual_one() -> None:
    """Regulation Z, Appendix J (b)(4)(i)(B): 363 and 365 days are 364 on average, 52 weeks."""
    start = date(2027, 3, 1)
    payments = [start + timedelta(days=363), start + timedelta(days=728)]
    found = unit_period([start], payments)
    assert (found.kind, found.count) == ("weeks", 52)
