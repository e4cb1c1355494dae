"""Tax and finance on both sides: orders and retrofits, dealers and lenders.

Sources: E. Cary Brown, "Business-income taxation and investment incentives" (1948); P. A.
Samuelson, "Tax deductibility of economic depreciation to insure invariant valuations", Journal of
Political Economy 72 (1964) 604-606; both from memory.
"""

from datetime import date
from typing import Any

import pytest

from optioneer.model.case import Case
from optioneer.model.growth import Way
from optioneer.model.machine import Package
from optioneer.model.paying import Paying
from optioneer.study.advice.advice import advice, package_value
from optioneer.study.advice.request import AdviceRequest, PackageRequest
from optioneer.study.cash.cash import cash
from optioneer.study.cash.dates import clock_of
from optioneer.study.cash.financing import (
    NOTIONAL,
    before_tax,
    borrowing_rate,
    order_factor,
    retrofit_factors,
    shop_rate,
    tax_saved,
    used_factor,
)
from optioneer.study.cash.plans import counting_on
from tests.oracle.cases import case_of, certain, option, stream

AT_ONCE = {
    "rate": 0.25,
    "depreciation": "straight-line-5",
    "first_year_share": 1.0,
    "in_service": "order",
    "pays": ["02-01"],
}
"""Everything is deducted in the first year, and tax is paid each year on the day of the order."""

LOAN = {"id": "bank", "kind": "loan", "rate": 0.07, "months": 60, "drawn": "order"}


def taxed(case: Case, tax: dict[str, Any], **paying: Any) -> Case:
    return case.model_copy(update={"paying": Paying.model_validate({"income_tax": tax, **paying})})


def waiting(**growth: Any) -> Case:
    """Work that comes four times in five at the start of the third year, for a probe of 10,000."""
    work = stream("work", certain(1.5), 40e3, ["probe"], chance=0.8)
    given = {"horizon_years": 4.0, "discount_rate": 0.1, "futures": 1024}
    probe = option("probe", 10e3, 1.35)
    case = case_of([probe, option("useless", 3e3, 1.1)], [work], growth={**given, **growth})
    # no leap day and no weekend on which a retrofit or a payment falls
    dates = case.dates.model_copy(update={"order": date(2021, 2, 1)})
    return case.model_copy(update={"dates": dates})


def test_expensed_at_once_the_worked_example_saves_491_by_waiting() -> None:
    # 10,000 now or 13,500 in two years at 80 %, r 10 %, t 25 %: 7,500 - 0.8 x 10,125 / 1.075^2.
    case = taxed(waiting(), AT_ONCE)
    now = used_factor(case) * 10e3
    later = 0.8 * 13.5e3 * retrofit_factors(case)[2] * (1 + shop_rate(case)) ** -2
    assert now - later == pytest.approx(491.0, abs=0.5)


def test_expensed_at_once_verdicts_are_those_of_no_tax_at_the_rate_after_tax() -> None:
    with_tax, without = (
        advice(AdviceRequest(taxed(waiting(), AT_ONCE))),
        advice(AdviceRequest(waiting(discount_rate=0.075))),
    )
    assert used_factor(taxed(waiting(), AT_ONCE)) == pytest.approx(0.75, abs=1e-12)
    for one, other in zip(with_tax.options, without.options, strict=True):
        assert one.verdict == other.verdict
        assert one.otherwise == pytest.approx(0.75 * (other.otherwise or 0.0), rel=1e-4)
    assert with_tax.advised.npc == pytest.approx(0.75 * without.advised.npc, rel=1e-6)


def test_depreciation_equal_to_the_fall_of_value_changes_nothing() -> None:
    # What loses a fifth of its price each year and earns just 10 % on the rest is worth its price,
    # whatever the tax, when the fifths are written off as they are lost.
    tax = {**AT_ONCE, "first_year_share": 0.0, "pays": ["12-31"], "in_service": "2021-01-01"}
    case = taxed(waiting(), tax)
    case = case.model_copy(
        update={"dates": case.dates.model_copy(update={"order": date(2021, 1, 1)})}
    )
    years = range(1, 6)
    earned = [0.1 * (1.0 - (k - 1) / 5) + 0.2 for k in years]
    after = sum(0.75 * e * (1 + shop_rate(case)) ** -k for k, e in zip(years, earned, strict=True))
    saved = tax_saved(case, clock_of(case), (case.dates.order, case.dates.order)) / NOTIONAL
    assert after + saved == pytest.approx(1.0, abs=3e-4)  # tax is due on business days


def worth_its_price(times: float) -> Case:
    """An option that is worth 10,000 at 10 %, losing a fifth of it each year, at a multiple of it.

    Work comes with first chips, half a year after the order, so that the middles of the years in
    which it earns are the ends of calendar years. It earns a fifth and a tenth of what is left.
    """
    way = (Way(options=("jig",)),)
    whole = stream("whole", certain(0.0), 2.2e3, [], way=way)
    shorter = [
        stream(f"for-{years}", certain(0.0), 200.0, [], way=way, lasts_years=float(years))
        for years in range(1, 5)
    ]
    growth = {"horizon_years": 5.0, "discount_rate": 0.1, "futures": 16}
    case = case_of([option("jig", 10e3 * times)], [whole, *shorter], growth=growth, lead=0.5)
    dates = case.dates.model_copy(update={"order": date(2021, 1, 1)})
    return case.model_copy(update={"dates": dates})


@pytest.mark.parametrize("times", [0.9, 0.99, 1.01, 1.1])
def test_depreciation_equal_to_the_fall_of_value_changes_no_verdict_of_the_advice(
    times: float,
) -> None:
    tax = {**AT_ONCE, "first_year_share": 0.0, "pays": ["12-31"], "in_service": "2021-01-01"}
    case = worth_its_price(times)
    with_tax = advice(AdviceRequest(taxed(case, tax))).options[0]
    without = advice(AdviceRequest(case)).options[0]
    assert without.verdict == ("order now" if times < 1.0 else "leave off")
    assert without.otherwise == pytest.approx(abs(times - 1.0) * 10e3, abs=0.5)
    assert with_tax.verdict == without.verdict
    left = used_factor(taxed(case, tax))  # of each unit of price, and so of what it is worth
    assert with_tax.otherwise == pytest.approx(
        left * (without.otherwise or 0.0), abs=5.0
    )  # business days


@pytest.mark.parametrize("tax", [None, AT_ONCE, {**AT_ONCE, "first_year_share": 0.0}])
@pytest.mark.parametrize("day_count", ["30/360", "act/365"])
def test_a_loan_without_fees_at_what_the_shop_borrows_at_turns_nothing(
    tax: dict[str, Any] | None, day_count: str
) -> None:
    plans = [
        {**LOAN, "day_count": day_count, "retrofits": "loan"},
        {"id": "cash", "kind": "staged", "stages": [{"share": 1.0, "when": "order"}]},
    ]
    case = taxed(waiting(), tax or {}, plan=plans) if tax else waiting()
    if tax is None:
        case = case.model_copy(update={"paying": Paying.model_validate({"plan": plans})})
    assert borrowing_rate(case) == 0.07
    assert order_factor(case, "bank") == pytest.approx(order_factor(case, "cash"), abs=2e-6)
    lent, paid = (advice(AdviceRequest(counting_on(case, plan))) for plan in ("bank", None))
    assert [o.verdict for o in lent.options] == [o.verdict for o in paid.options]
    assert lent.advised.npc == pytest.approx(paid.advised.npc, rel=3e-6)


def test_the_more_debt_the_cheaper_holds_no_longer() -> None:
    plans = [{**LOAN, "id": f"d{part}", "deposit": part / 10} for part in (0, 3, 9)]
    case = waiting().model_copy(update={"paying": Paying.model_validate({"plan": plans})})
    factors = [order_factor(case, str(plan["id"])) for plan in plans]
    assert factors == pytest.approx([1.0] * 3, abs=2e-6)


def test_a_fee_and_a_dearer_rate_count_and_only_they() -> None:
    plans = [{**LOAN, "fee": 1_000.0}, {**LOAN, "id": "dear", "rate": 0.09}]
    case = waiting().model_copy(update={"paying": Paying.model_validate({"plan": plans})})
    assert order_factor(case, "bank") == pytest.approx(1.01, abs=2e-6)
    level = (0.09 / 12) / (1 - (1 + 0.09 / 12) ** -60)
    worth = sum(level * (1 + 0.07 / 12) ** -k for k in range(1, 61))
    assert order_factor(case, "dear") == pytest.approx(worth, abs=2e-5)


def test_sales_tax_that_never_comes_back_is_charged_on_both_sides() -> None:
    plans = [{"id": "cash", "kind": "staged", "stages": [{"share": 1.0, "when": "order"}]}]
    given = {"plan": plans, "sales_tax": {"rate": 0.05, "due": "order"}, "use": "cash"}
    case = waiting().model_copy(update={"paying": Paying.model_validate(given)})
    assert used_factor(case) == pytest.approx(1.05)
    assert retrofit_factors(case) == pytest.approx([1.05] * (case.growth.periods + 1))
    # certain work at the start, a probe at x1.05 later: both sides rise alike, no verdict turns
    sure = stream("work", certain(0.5), 60e3, ["probe"])
    probe = case_of([option("probe", 10e3, 1.05)], [sure], growth={"futures": 64})
    taxing = probe.model_copy(update={"paying": case.paying})
    assert [o.verdict for o in advice(AdviceRequest(taxing)).options] == [
        o.verdict for o in advice(AdviceRequest(probe)).options
    ]


def test_a_lease_counts_its_rents_after_tax_and_no_depreciation() -> None:
    lease = {
        "id": "lease",
        "kind": "lease",
        "monthly": 2_000.0,
        "months": 24,
        "start": "order",
        "buyout": 30_000.0,
    }
    case = taxed(waiting(), AT_ONCE, plan=[lease], account={"borrows_at": 0.08})
    rents = sum(0.75 * 2e3 * 1.06 ** -(k / 12) for k in range(1, 25))
    expected = (rents + 30e3 * 1.06**-2) / 100e3
    assert order_factor(case, "lease") == pytest.approx(expected, rel=2e-3)


def test_before_tax_nothing_is_taxed() -> None:
    case = taxed(waiting(), AT_ONCE)
    assert advice(AdviceRequest(before_tax(case))) == advice(AdviceRequest(waiting()))
    assert retrofit_factors(before_tax(case)) == ()


def test_a_plan_flips_at_the_rate_at_which_both_cost_the_same() -> None:
    plans = [
        {**LOAN, "fee": 500.0},
        {"id": "cash", "kind": "staged", "stages": [{"share": 1.0, "when": "order"}]},
    ]
    case = waiting().model_copy(update={"paying": Paying.model_validate({"plan": plans})})
    answer = cash(case, Package(id="base")).answer
    assert (answer.cheapest, answer.borrows_at) == ("cash", 0.07)
    (flip,) = answer.flips
    assert flip.at is not None
    both = [order_factor(case, plan, at=flip.at) for plan in ("bank", "cash")]
    assert both[0] == pytest.approx(both[1], abs=1e-7)
    assert flip.at > 0.07


def test_after_tax_outcome_and_cost_still_add_up() -> None:
    case = taxed(waiting(), AT_ONCE)
    ordered, bare = (
        package_value(PackageRequest(case, package=",".join(options)))
        for options in (("probe",), ())
    )
    assert ordered.outcome.mean + ordered.npc == pytest.approx(bare.outcome.mean + bare.npc)
