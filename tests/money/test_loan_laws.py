"""What holds of every schedule, whatever its terms."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from optioneer.dates import DayCount, plus_months
from optioneer.money.cents import rounded, split
from optioneer.money.loan import LoanTerms, interest_years, level_payment, schedule

DAY_COUNTS: tuple[DayCount, ...] = ("30/360", "30E/360", "act/365", "act/360", "act/act")
START = date(2027, 1, 4)
WEIGHTS = (0.0, 0.5, 1.0, 2.0)


@some.composite
def terms(draw: some.DrawFn) -> LoanTerms:
    start = START + timedelta(days=draw(some.integers(0, 400)))
    gaps = draw(some.lists(some.integers(1, 120), max_size=3))
    draws, day = [(start, draw(some.integers(1_00, 900_000_00)))], start
    for gap in gaps:
        day += timedelta(days=gap)
        draws.append((day, draw(some.integers(1_00, 300_000_00))))
    first = day + timedelta(days=draw(some.integers(1, 90)))
    count, step = draw(some.integers(1, 90)), draw(some.sampled_from([1, 3, 6]))
    due = tuple(plus_months(first, step * k) for k in range(count))
    borrowed = sum(cents for _, cents in draws)
    weights: list[float] = []
    if draw(some.booleans()):  # one drawing for all of them: a drawing takes longer than a row
        weights = [WEIGHTS[byte % 4] for byte in draw(some.binary(min_size=count, max_size=count))]
    stepped = any(weights)
    settled = (plus_months(first, -2), plus_months(first, -1))
    payoff = draw(some.sampled_from([None, plus_months(first, step * (count // 2))]))
    return LoanTerms(
        rate=draw(some.floats(0, 0.3)),
        draws=tuple(draws),
        due=due,
        day_count=draw(some.sampled_from(DAY_COUNTS)),
        settled=tuple(day for day in settled if day > start),
        added=draw(some.booleans()),
        weights=tuple(weights) if stepped else (),
        interest_only=0 if stepped else draw(some.integers(0, count - 1)),
        balloon=draw(some.integers(0, borrowed // 2)),
        equal_principal=draw(some.booleans()),
        payoff=payoff,
    )


@given(terms())
@settings(max_examples=150, deadline=None)
def test_a_schedule_repays_exactly_what_was_drawn(loan: LoanTerms) -> None:
    rows = schedule(loan)
    assert rows[-1].balance == 0
    assert sum(row.principal for row in rows) == loan.borrowed
    assert sum(row.added for row in rows) == 0


@given(terms())
@settings(max_examples=100, deadline=None)
def test_every_balance_follows_from_the_one_before(loan: LoanTerms) -> None:
    balance = 0.0
    for row in schedule(loan):
        balance += row.drawn + row.added - row.principal
        assert row.balance == balance
        assert row.interest >= 0
        assert row.principal >= 0
        assert all(float(part).is_integer() for part in (row.interest, row.principal, row.added))


@given(terms(), some.one_of(some.none(), some.integers(1_00, 400_000_00)))
@settings(max_examples=150, deadline=None)
def test_the_balloon_is_left_for_the_last_instalment(loan: LoanTerms, payment: int | None) -> None:
    """However large the instalments that were agreed, they repay no part of it."""
    loan = replace(loan, payoff=None, payment=payment)
    *before, last = schedule(loan)
    assert last.paid >= loan.balloon
    # Interest that falls due on the day of the last draw comes before it: not all is lent yet.
    lent = max(number for number, row in enumerate(before) if row.drawn)
    assert all(row.balance >= loan.balloon for row in before[lent:])


@given(terms())
@settings(max_examples=150, deadline=None)
def test_equal_parts_of_the_principal_are_equal(loan: LoanTerms) -> None:
    loan = replace(loan, equal_principal=True, weights=(), added=False, payoff=None)
    paid = {row.date: row.principal for row in schedule(loan) if row.kind == "instalment"}
    due = loan.due[loan.interest_only :]
    part = rounded((loan.borrowed - loan.balloon) / len(due))
    # The first half: rounding upwards, small parts may have repaid all before the end.
    assert all(paid.get(day, 0) == part for day in due[: len(due) // 2])


@given(terms())
@settings(max_examples=100, deadline=None)
def test_a_payoff_ends_the_loan_on_its_day(loan: LoanTerms) -> None:
    day = loan.due[(len(loan.due) - 1) // 2]
    longer = [row for row in schedule(replace(loan, payoff=None)) if row.date <= day]
    owed = longer[-1].balance
    *before, last = schedule(replace(loan, payoff=day))
    if owed:
        assert before == longer
        assert (last.kind, last.date, last.principal - last.added) == ("payoff", day, owed)


@given(terms())
@settings(max_examples=60, deadline=None)
def test_no_payment_falls_before_the_first_draw(loan: LoanTerms) -> None:
    rows = schedule(loan)
    assert [row.date for row in rows] == sorted(row.date for row in rows)
    assert rows[0].kind == "draw"


@given(terms(), some.floats(0.001, 0.1))
@settings(max_examples=60, deadline=None)
def test_a_dearer_loan_costs_more_interest(loan: LoanTerms, more: float) -> None:
    dearer = replace(loan, rate=loan.rate + more)
    sums = [sum(row.interest for row in schedule(one, float)) for one in (loan, dearer)]
    # Over a day that the convention does not count nothing is earned at any rate.
    assert sums[0] < sums[1] or sums == [0.0, 0.0]


def test_the_level_instalment_repays_when_nothing_is_rounded() -> None:
    due = tuple(plus_months(START, k + 1) for k in range(24))
    loan = LoanTerms(rate=0.06, draws=((START, 10_000_00),), due=due)
    rows = schedule(loan, float)
    assert abs(rows[-1].paid - level_payment(loan)) < 1e-6


def test_months_of_30_360_are_twelfths_even_at_the_end_of_february() -> None:
    days = [date(2027, 1, 31), date(2027, 2, 28), date(2027, 3, 31), date(2027, 4, 30)]
    for start, end in pairwise(days):
        assert interest_years(start, end, "30/360") == 1 / 12


@given(some.integers(0, 10**9), some.lists(some.floats(0, 1), min_size=1, max_size=9))
def test_a_split_always_adds_up(total: int, shares: list[float]) -> None:
    assert sum(split(total, shares)) == total


def test_half_a_cent_is_rounded_upwards() -> None:
    assert [rounded(x) for x in (0.5, 1.5, 2.4999, -0.4)] == [1, 2, 2, 0]


@pytest.mark.parametrize("balloon", [0, 40_000_00])
@pytest.mark.parametrize(
    "weights", [(), (1.0,) * 12 + (2.0,) * 12, (2.0, 0.5) * 12, (0.0,) * 3 + (1.0,) * 21]
)
def test_instalments_of_any_size_are_worth_what_is_lent(
    weights: tuple[float, ...], balloon: int
) -> None:
    """Present value at the monthly rate, as of any annuity; a month that is skipped bears on."""
    due = tuple(plus_months(START, month) for month in range(1, 25))
    loan = LoanTerms(0.06, ((START, 250_000_00),), due, weights=weights, balloon=balloon)
    worth = 1.005 ** -np.arange(1.0, 25.0)
    told = np.array(weights or (1.0,) * 24) * level_payment(loan)
    assert worth @ told + balloon * worth[-1] == pytest.approx(250_000_00, rel=1e-9)
