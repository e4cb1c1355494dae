"""What a unit of price counts: an order, a retrofit and works paid alike count alike."""

from datetime import timedelta
from typing import Any

import numpy_financial as npf  # type: ignore[import-untyped] # no stubs
import pytest

from optioneer.dates import DAYS_PER_YEAR
from optioneer.model.case import Case
from optioneer.study.cash.dates import clock_of
from optioneer.study.cash.deal import deal_of
from optioneer.study.cash.financing import (
    cash_factor,
    dealers_worth,
    order_factor,
    retrofit_factors,
    worth_of_paying,
)
from optioneer.study.cash.plans import plan_entries, plan_of
from optioneer.study.problem.arrays import timeline_of
from tests.paying_cases import BANK, LEASE, STAGED
from tests.study.cash.test_financing import taxed, waiting

AT_ORDER = {"id": "at-order", "kind": "staged", "stages": ({"share": 1.0, "when": "order"},)}
INCOME = {"rate": 0.25, "depreciation": "straight-line-5", "in_service": "order"}
SALES = {
    "lost": {"rate": 0.08, "due": "order"},
    "returned": {"rate": 0.19, "due": "order", "reclaimed_after_days": 42},
    "none": None,
}


def paid_by(plan: dict[str, Any], sales: str, tax: dict[str, Any] | None = INCOME) -> Case:
    """A case that uses a plan; the shop borrows at what its money earns."""
    facts = {"plan": (plan,), "use": plan["id"], "sales_tax": SALES[sales]}
    return taxed(waiting(), tax, account={"borrows_at": 0.1}, **facts)  # type: ignore[arg-type]


@pytest.mark.parametrize("tax", [INCOME, None], ids=["taxed", "untaxed"])
@pytest.mark.parametrize("sales", SALES)
def test_what_is_paid_at_the_order_counts_alike_for_machine_and_works(
    sales: str, tax: dict[str, Any] | None
) -> None:
    case = paid_by(AT_ORDER, sales, tax)
    assert cash_factor(case) == pytest.approx(order_factor(case, "at-order"), rel=2e-6)


@pytest.mark.parametrize("period", [0, 1, 3])
@pytest.mark.parametrize("sales", SALES)
def test_a_retrofit_counts_like_works_of_an_order_on_its_day(sales: str, period: int) -> None:
    case = paid_by(AT_ORDER, sales)
    years = case.dates.lead_years + period / case.growth.periods_per_year
    day = case.dates.order + timedelta(days=round(DAYS_PER_YEAR * years))
    later = case.model_copy(update={"dates": case.dates.model_copy(update={"order": day})})
    assert retrofit_factors(case)[period] == pytest.approx(cash_factor(later), rel=1e-9)


@pytest.mark.parametrize(("rate", "every"), [(0.06, 1), (0.06, 3), (0.15, 1), (0.0, 1)])
@pytest.mark.parametrize("t", [0.0, 0.25])
def test_a_lent_retrofit_counts_what_the_librarys_instalments_are_worth(
    rate: float, every: int, t: float
) -> None:
    """numpy-financial `pmt`, `ipmt` and `npv`: interest counts after tax, the principal whole."""
    loan = {**BANK, "rate": rate, "months": 60, "every_months": every, "retrofits": "loan"}
    tax = {**INCOME, "rate": t} if t else None
    case, cash = (paid_by(plan, "none", tax) for plan in (loan, {**loan, "retrofits": "cash"}))
    count, each = 60 // every, rate * every / 12
    level = -npf.pmt(each, count, 1.0)
    numbers = range(1, count + 1)
    interest = [-float(npf.ipmt(each, k, count, 1.0)) if each else 0.0 for k in numbers]
    flows = [0.0, *(level - t * one for one in interest)]
    beyond = npf.npv(0.1 * (1 - t) * every / 12, flows) - 1.0
    lent, paid = retrofit_factors(case), retrofit_factors(cash) or (1.0,) * 100
    assert lent[2] - paid[2] == pytest.approx(beyond, abs=1e-12)


@pytest.mark.parametrize("plan", [STAGED, LEASE], ids=["staged", "lease"])
@pytest.mark.parametrize("sales", SALES)
def test_without_income_tax_a_plan_is_worth_what_its_account_shows_discounted(
    plan: dict[str, Any], sales: str
) -> None:
    case = paid_by(plan, sales, None)
    clock, price = clock_of(case), 31_200_000
    entries = plan_entries(case, plan_of(case, plan["id"]), price, clock).entries
    shown = sum(-entry.cents * dealers_worth(case, entry.date) for entry in entries)
    deal = deal_of(plan_of(case, plan["id"]), price, clock)
    assert worth_of_paying(case, deal, clock) == pytest.approx(shown, rel=1e-12)


def test_sales_tax_that_comes_back_costs_what_money_earns_meanwhile() -> None:
    """19 % of the charge for 42 days at 10 %."""
    factors = retrofit_factors(paid_by(AT_ORDER, "returned", None))
    assert factors[0] == pytest.approx(1 + 0.19 * (1 - 1.1 ** -(42 / 365)), rel=1e-12)


def test_sales_tax_that_is_lost_is_written_off_with_the_rest() -> None:
    """1 + s less what depreciation of 1 + s saves: 1 + s times what it is without sales tax."""
    lost, none = (paid_by(AT_ORDER, sales) for sales in ("lost", "none"))
    assert cash_factor(lost) == pytest.approx(1.08 * cash_factor(none), rel=1e-12)
    pairs = zip(retrofit_factors(lost), retrofit_factors(none), strict=True)
    assert all(one == pytest.approx(1.08 * other, rel=1e-12) for one, other in pairs)


def test_retrofits_of_cases_that_pay_otherwise_are_paid_otherwise() -> None:
    """What is kept of one case is not told of another, whatever differs."""
    case = paid_by(AT_ORDER, "lost")
    growth, kept = case.growth, timeline_of(case).paying
    assert kept == retrofit_factors(case)
    for part, other in (
        ("growth", growth.model_copy(update={"discount_rate": growth.discount_rate + 0.02})),
        ("growth", growth.model_copy(update={"horizon_years": growth.horizon_years + 1.0})),
        ("dates", case.dates.model_copy(update={"order": case.dates.order + timedelta(days=40)})),
        ("paying", paid_by(AT_ORDER, "none").paying),
    ):
        changed = case.model_copy(update={part: other})
        assert timeline_of(changed).paying == retrofit_factors(changed) != kept
