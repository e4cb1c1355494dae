"""What tax saves in the end, and when: whatever the plan, all that is paid is deducted once."""

from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from optioneer.errors import CaseError
from optioneer.model.checks.consistency import faults
from optioneer.study.cash.cash import PlanLedger, cash
from optioneer.study.cash.dates import Delay, clock_of
from tests.paying_cases import BANK, BARE, DATES, LEASE, STAGED, case

PRICE = 312_000_00
STRAIGHT = {"rate": 0.25, "depreciation": "straight-line-10", "pays": ("12-31",)}
OPEN = {"convention": "none"}


def saved(ledger: PlanLedger) -> list[tuple[date, int]]:
    return [(e.date, e.cents) for e in ledger.entries if e.kind == "income-tax"]


@some.composite
def taxes(draw: some.DrawFn) -> dict[str, Any]:
    kinds = ("macrs-5", "macrs-7", "straight-line-10", "declining-8")
    facts: dict[str, Any] = {
        "income_tax": {
            "rate": 0.3,
            "depreciation": draw(some.sampled_from(kinds)),
            "first_year_share": draw(some.sampled_from([0.0, 0.4, 1.0])),
            "year_starts_month": draw(some.sampled_from([1, 4, 10])),
            "pays": draw(some.sampled_from([("12-31",), ("04-15", "09-15", "01-15 next year")])),
        }
    }
    if draw(some.booleans()):
        facts["sales_tax"] = {
            "rate": 0.08,
            "due": draw(some.sampled_from(["delivery", "each payment"])),
            "reclaimed_after_days": draw(some.sampled_from([None, 60])),
        }
    return facts


@given(some.sampled_from([STAGED, BANK, LEASE, {**LEASE, "fee": 700.0}]), taxes())
@settings(max_examples=80, deadline=None)
def test_all_that_is_paid_is_deducted_once(plan: dict[str, Any], facts: dict[str, Any]) -> None:
    """Price, interest, fees, rents and the sales tax that never comes back: times the rate."""
    (ledger,) = cash(case(plan, **facts), BARE).ledgers
    paid = -sum(e.cents for e in ledger.entries if e.kind not in {"income-tax", "regular"})
    years = len({day.year for day, _ in saved(ledger)}) + 1
    assert sum(cents for _, cents in saved(ledger)) == pytest.approx(0.3 * paid, abs=years)


@given(some.sampled_from([STAGED, BANK, LEASE]), taxes())
@settings(max_examples=60, deadline=None)
def test_nothing_is_saved_before_something_is_paid_or_in_service(
    plan: dict[str, Any], facts: dict[str, Any]
) -> None:
    asked = case(plan, calendar=OPEN, **facts)
    (ledger,) = cash(asked, BARE).ledgers
    kinds = {"interest", "fee", "rent"} | ({"contract"} if plan is LEASE else set())
    paid = [e.date for e in ledger.entries if e.kind in kinds]
    first = min([clock_of(asked).days["first_chips"], *paid])
    days = [day for day, _ in saved(ledger)]
    pays = {text[:5] for text in facts["income_tax"]["pays"]}
    assert min(days) >= first
    assert {f"{day:%m-%d}" for day in days} <= pays


def test_a_tax_year_that_starts_in_october_bears_a_quarter_of_its_first_year() -> None:
    """In service in July 2027: three months of the year that began in October 2026.

    Its pay day, December 2026, has gone by: it comes with the next one, with all of year two.
    """
    tax = {**STRAIGHT, "year_starts_month": 10}
    (ledger,) = cash(case(STAGED, income_tax=tax, calendar=OPEN), BARE).ledgers
    part, whole = round(PRICE / 10 * 3 / 12 * 0.25), round(PRICE / 10 * 0.25)
    assert saved(ledger)[:3] == [
        (date(2027, 12, 31), part),
        (date(2027, 12, 31), whole),
        (date(2028, 12, 31), whole),
    ]
    assert saved(ledger)[-1] == (date(2036, 12, 31), whole - part)


def test_a_tax_year_that_starts_in_july_bears_all_of_its_first_year() -> None:
    tax = {**STRAIGHT, "year_starts_month": 7}
    (ledger,) = cash(case(STAGED, income_tax=tax, calendar=OPEN), BARE).ledgers
    assert saved(ledger) == [(date(2027 + k, 12, 31), PRICE // 40) for k in range(10)]


def test_a_lease_deducts_what_is_paid_and_writes_off_what_is_bought_in_the_end() -> None:
    """Rents as they are paid, the buyout over ten years from July 2031 on."""
    (ledger,) = cash(case(LEASE, income_tax=STRAIGHT, calendar=OPEN), BARE).ledgers
    by_year = dict[int, int]()
    for day, cents in saved(ledger):
        by_year[day.year] = by_year.get(day.year, 0) + cents
    rents = {2027: 7, 2028: 12, 2029: 12, 2030: 12, 2031: 5}
    deposit = {2027: 15_600_00}
    for year, count in rents.items():
        bought = 15_000_00 / 10 * 6 / 12 if year == 2031 else 0
        expected = 0.25 * (count * 7150_00 + deposit.get(year, 0) + bought)
        assert by_year[year] == pytest.approx(expected, abs=1)
    assert by_year[2032] == 0.25 * 1500_00


@pytest.mark.parametrize("share", ["bonus", "section-179"])
def test_a_share_of_the_law_is_not_guessed_for_a_year_that_is_not_in_the_table(share: str) -> None:
    """In service in 2026, which is known; the leased machine is bought in 2031, which is not."""
    dates = DATES.model_copy(update={"order": date(2026, 1, 5)})
    tax = {**STRAIGHT, "first_year_share": share}
    assert cash(case(STAGED, dates=dates, income_tax=tax), BARE).answer.plans
    with pytest.raises(CaseError, match=f"'{share}' is not known for the tax year 2030"):
        cash(case(LEASE, dates=dates, income_tax=tax), BARE)
    late = Delay(machine_weeks=52)
    with pytest.raises(CaseError, match=f"'{share}' is not known for the tax year 2027"):
        cash(case(STAGED, dates=dates, income_tax=tax), BARE, delay=late)


def test_the_year_of_the_law_is_the_tax_year_not_the_calendars() -> None:
    """January 2023 is in the tax year that began in October 2022, before the table begins."""
    dates = DATES.model_copy(update={"order": date(2022, 8, 1)})
    tax = {**STRAIGHT, "first_year_share": "bonus", "year_starts_month": 10}
    (fault,) = faults(case(STAGED, dates=dates, income_tax=tax))
    assert str(fault) == (
        "paying.toml, income_tax, first_year_share: 'bonus' is not known for the tax year 2022. "
        "The table of tax years holds 2023, 2024, 2025, 2026; write the share itself: 0.4 for 40 %."
    )


@pytest.mark.parametrize(
    ("months", "first"), [("2027-01-01", 12), ("2027-06-30", 7), ("2027-12-31", 1)]
)
def test_the_month_in_service_counts_whole(months: str, first: int) -> None:
    dates = DATES.model_copy(update={"order": date(2026, 7, 1)})
    tax = {**STRAIGHT, "in_service": months}
    (ledger,) = cash(case(STAGED, dates=dates, income_tax=tax, calendar=OPEN), BARE).ledgers
    assert saved(ledger)[0] == (date(2027, 12, 31), round(PRICE / 10 * first / 12 * 0.25))


def test_a_declining_balance_begins_with_its_part_of_the_first_year() -> None:
    """In service in July: half of a quarter, then a quarter of what is left (2 / 8 a year)."""
    tax = {**STRAIGHT, "depreciation": "declining-8"}
    (ledger,) = cash(case(STAGED, income_tax=tax, calendar=OPEN), BARE).ledgers
    first, second = PRICE / 8, (PRICE - PRICE / 8) / 4
    assert [cents for _, cents in saved(ledger)[:2]] == pytest.approx(
        [0.25 * first, 0.25 * second], abs=1
    )
