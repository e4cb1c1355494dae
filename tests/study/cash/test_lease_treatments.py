"""A true lease or a purchase in disguise: what tax makes of either, and what both cost."""

from collections.abc import Mapping
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from optioneer.dates import plus_months
from optioneer.model.checks.doubts import doubts
from optioneer.money.lease import imputed_interest, rent_dates
from optioneer.reports.cash.page import cash_page
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.money import Figures
from optioneer.study.cash.cash import PlanLedger, cash
from tests.paying_cases import BANK, BARE, LEASE, case

TAX = {"rate": 0.25, "depreciation": "straight-line-5"}
PRICE = 312_000_00


def ledger(plan: Mapping[str, Any], **facts: Any) -> PlanLedger:
    (only,) = cash(case(plan, income_tax=TAX, **facts), BARE).ledgers
    return only


def saved(one: PlanLedger) -> int:
    return sum(entry.cents for entry in one.entries if entry.kind == "income-tax")


@given(
    some.sampled_from([0.0, 0.05, 0.2]),
    some.integers(0, 3),
    some.sampled_from([0.0, 15_000.0]),
    some.sampled_from([0.0, 400.0]),
    some.integers(6500, 9000),
)
@settings(max_examples=25, deadline=None)
def test_both_treatments_save_the_same_tax_in_the_end(
    deposit: float, in_advance: int, buyout: float, fee: float, monthly: int
) -> None:
    """Deposit, rents and buyout are the price and the interest: only the years differ."""
    terms = {"deposit": deposit, "in_advance": in_advance, "buyout": buyout, "fee": fee}
    plan = {**LEASE, **terms, "monthly": float(monthly)}
    both = [saved(ledger({**plan, "treated_as": one})) for one in ("lease", "purchase")]
    assert both[0] == pytest.approx(both[1], abs=30)  # cents that years are rounded to


def test_a_disguised_purchase_is_written_off_and_only_its_interest_is_deducted() -> None:
    told = ledger({**LEASE, "treated_as": "purchase"})
    first = next(entry for entry in told.entries if entry.kind == "income-tax")
    interest = sum(cents for day, cents in told.deal.deductible if day.year == 2027)
    # in service in July: six months of a fifth, straight line
    assert first.cents == round((PRICE / 5 / 2 + interest) * 0.25)
    total = 48 * 7150_00 + 15_000_00 - (PRICE - 15_600_00)
    assert sum(cents for _, cents in told.deal.deductible) == total


def test_the_interest_in_a_published_lease_is_what_is_paid_beyond_its_value() -> None:
    """96 rents of 1,000 in advance, value 62,000, residual 20,000: 15.219 % a year, monthly.

    ezlease.com, implicit rate of a lease (its text; recomputed).
    """
    start = date(2027, 1, 1)
    rents = rent_dates(start, rents=96, in_advance=1)
    flows = [(start, 62_000_00.0), *((day, -1_000_00.0) for day in rents)]
    flows.append((plus_months(start, 96), -20_000_00.0))
    interest = list(imputed_interest(flows))
    assert sum(cents for _, cents in interest) == (96_000 + 20_000 - 62_000) * 100
    second = dict(interest)[date(2027, 2, 1)]
    assert second == pytest.approx(61_000_00 * 0.15218834 / 12, rel=0.02)  # 31 of 365 days


def test_a_disguised_purchase_is_worth_a_loan_with_the_same_payments() -> None:
    account = {"borrows_at": 0.0725}
    loan = {**BANK, "fee": 0.0, "first_payment": "delivery + 1 month"}
    lent = cash(case(loan, income_tax=TAX, account=account), BARE).answer.plans[0]
    rent = -next(
        sum(e.cents for e in lent.entries if e.date == day)
        for day in (e.date for e in lent.entries if e.kind == "interest")
    )
    lease = {
        "id": "lease", "kind": "lease", "deposit": 0.10, "deposit_when": "order",
        "monthly": rent / 100, "months": 60, "treated_as": "purchase",
    }  # fmt: skip
    let = cash(case(lease, income_tax=TAX, account=account), BARE).answer.plans[0]
    assert let.true_cost.present_cost_after_tax == pytest.approx(
        lent.true_cost.present_cost_after_tax,
        rel=5e-3,  # a rate by months, or by years
    )


def test_both_are_told_and_it_is_asked_which() -> None:
    asked = case(LEASE, income_tax=TAX)
    (plan,) = cash(asked, BARE).answer.plans
    assert plan.treatments is not None
    assert plan.treatments.as_lease == plan.true_cost.present_cost_after_tax
    assert plan.treatments.as_purchase != plan.treatments.as_lease
    said = " ".join(
        terminal_text(cash_page(asked, cash(asked, BARE), Figures("USD")), width=200).split()
    )
    assert "LEASE OR PURCHASE? YOUR ACCOUNTANT DECIDES" in said
    wheres = [str(one) for one in doubts(asked)]
    assert any("plan 'lease', treated_as" in one for one in wheres)
    told = case({**LEASE, "treated_as": "purchase"}, income_tax=TAX)
    assert not any("treated_as" in str(one) for one in doubts(told))
    (bought,) = cash(told, BARE).answer.plans
    assert bought.true_cost.present_cost_after_tax == plan.treatments.as_purchase
