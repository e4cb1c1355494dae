"""What holds of every way of paying: the account sees what the rates are reckoned from."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date
from typing import Any

import numpy_financial as npf  # type: ignore[import-untyped] # no stubs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from optioneer.errors import CaseError
from optioneer.study.cash.cash import cash
from optioneer.study.cash.dates import clock_of
from optioneer.study.cash.deal import deal_of
from optioneer.study.cash.payables import Deal
from tests.paying_cases import BANK, BARE, LEASE, case, paying

NO_BANK_HOLIDAYS = {"convention": "none"}
PRICE = 312_000_00


@some.composite
def loans(draw: some.DrawFn) -> Mapping[str, Any]:
    step = draw(some.sampled_from([1, 3]))
    plan: dict[str, Any] = {
        **BANK,
        "deposit": draw(some.sampled_from([0.0, 0.1, 0.35])),
        "rate": draw(some.sampled_from([0.0, 0.0725])),
        "fee": draw(some.sampled_from([0.0, 950.0])),
        "every_months": step,
        "repay": draw(some.sampled_from(["level", "equal-principal"])),
        "interest_only": step * draw(some.integers(0, 3)),
        "balloon": draw(some.sampled_from([0.0, 40_000.0])),
        "interest_before": draw(some.sampled_from(["first-payment", "monthly", "added"])),
        "day_count": draw(some.sampled_from(["30/360", "act/365"])),
    }
    if draw(some.booleans()):
        plan["stages"] = ({"share": 0.3, "when": "order"}, {"share": 0.7, "when": "shipped"})
    if draw(some.booleans()):
        plan["early_payoff"] = {"when": "first_chips + 24 months", "fee": 0.01}
    return plan


@some.composite
def leases(draw: some.DrawFn) -> Mapping[str, Any]:
    return {
        **LEASE,
        "deposit": draw(some.sampled_from([0.0, 0.05])),
        "in_advance": draw(some.integers(0, 3)),
        "buyout": draw(some.sampled_from([0.0, 15_000.0])),
        "fee": draw(some.sampled_from([0.0, 400.0])),
        "every_months": draw(some.sampled_from([1, 3])),
        "quoted_price": draw(some.sampled_from([None, 300_000.0])),
    }


def made(plan: Mapping[str, Any], price: int = PRICE) -> Deal:
    asked = case(plan, calendar=NO_BANK_HOLIDAYS)
    (facts,) = paying(plan).plan
    return deal_of(facts, price, clock_of(asked))


@given(some.one_of(loans(), leases()), some.integers(250_000_00, 400_000_00))
@settings(max_examples=150, deadline=None)
def test_what_is_lent_and_got_back_is_what_the_account_sees(
    plan: Mapping[str, Any], price: int
) -> None:
    try:
        deal = made(plan, price)
    except CaseError:
        return
    agreed, moved = defaultdict[date, float](float), defaultdict[date, float](float)
    for day, cents in deal.flows:
        agreed[day] += cents
    for entry in deal.entries:
        if entry.kind != "contract":
            moved[entry.date] += entry.cents
    assert {d: c for d, c in moved.items() if c} == {d: c for d, c in agreed.items() if c}
    assert deal.total("contract") == price  # the dealer gets it all, whoever pays


@pytest.mark.parametrize("fee", [0.0, 950.0, 5000.0])
def test_a_fee_makes_the_rate_that_of_a_smaller_loan_with_the_same_instalments(fee: float) -> None:
    """Level instalments a month after the draw: the rate is that of an ordinary annuity."""
    plan = {**BANK, "fee": fee, "drawn": "first_chips"}
    (only,) = cash(case(plan, calendar=NO_BANK_HOLIDAYS), BARE).ledgers
    lent = 280_800.00
    instalments = [-e.cents / 100 for e in only.entries if e.kind in {"interest", "principal"}]
    monthly = sum(instalments) / 60
    rate = 12 * npf.rate(60, -monthly, lent - fee, 0)
    assert only.answer.true_cost.apr == pytest.approx(rate, abs=2e-6)
    assert (rate > BANK["rate"] + 1e-4) == (fee > 0)


@pytest.mark.parametrize("price", [0, 1, 2, 7, 100])
def test_a_stage_of_no_cents_is_no_payment(price: int) -> None:
    stages = ({"share": 0.1, "when": "order"}, {"share": 0.9, "when": "shipped"})
    plan = {"id": "staged", "kind": "staged", "dealer": "D", "stages": stages}
    paid = [-entry.cents for entry in made(plan, price).entries]
    assert all(cents > 0 for cents in paid)
    assert sum(paid) == price
