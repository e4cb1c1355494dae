"""The dealer is paid as he asks under every plan, and every day says where the money is from."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from optioneer.errors import CaseError
from optioneer.model.checks.payments import paying_faults
from optioneer.model.machine import Dates
from optioneer.money.credit import interest_below_zero, spans_below
from optioneer.money.ledger import Entry
from optioneer.study.cash.cash import PlanLedger, cash
from optioneer.study.cash.dates import clock_of
from optioneer.study.cash.deal import deal_of
from optioneer.study.cash.financing import dealers_worth, order_factor, worth_of_paying
from tests.paying_cases import BANK, BARE, LEASE, MINE, STAGED, case, paying

PRICE = 312_000_00
NO_BANK_HOLIDAYS = {"convention": "none"}
ASKED = STAGED["stages"]
BRIDGE = {"rate": 0.09, "fee": 300.0}
RELEASED = {key: value for key, value in BANK.items() if key != "fee"}


def ledger(plan: Mapping[str, Any], stages: Any = ASKED, **facts: Any) -> PlanLedger:
    (only,) = cash(case(plan, dealer={"stages": stages}, **facts), BARE).ledgers
    return only


def by_kind(one: PlanLedger, *kinds: str) -> list[tuple[date, int, str]]:
    return [(entry.date, entry.cents, entry.what) for entry in one.entries if entry.kind in kinds]


def to_dealer(entries: tuple[Entry, ...]) -> dict[date, int]:
    paid: dict[date, int] = defaultdict(int)
    for entry in entries:
        if entry.kind == "contract":
            paid[entry.date] -= entry.cents
    return dict(paid)


def test_a_loan_that_is_let_go_at_the_acceptance_leaves_the_stages_to_the_account() -> None:
    bank = ledger(BANK, account={"opening": 100_000.0})
    assert by_kind(bank, "contract", "drawdown") == [
        (date(2027, 2, 1), -31_200_00, "stage 1 of 4, order"),
        (date(2027, 5, 3), -124_800_00, "stage 2 of 4, order + 90 days"),
        (date(2027, 6, 21), -124_800_00, "stage 3 of 4, shipped"),
        (date(2027, 7, 19), 280_800_00, "loan paid out"),  # accepted on Sunday, 18 July
        (date(2027, 8, 17), -31_200_00, "stage 4 of 4, accepted + 30 days"),
    ]
    one, *_ = bank.answer.short
    assert (one.first, one.last) == (date(2027, 5, 3), date(2027, 7, 18))
    assert (one.worst, one.cents) == (date(2027, 6, 21), 180_800_00)


def test_a_bridge_pays_what_the_deposit_does_not_and_is_paid_back_when_the_loan_comes() -> None:
    bank = ledger({**BANK, "bridge": BRIDGE}, calendar=NO_BANK_HOLIDAYS)
    assert by_kind(bank, "drawdown") == [
        (date(2027, 5, 2), 124_800_00, "bridge for stage 2 of 4, order + 90 days"),
        (date(2027, 6, 21), 124_800_00, "bridge for stage 3 of 4, shipped"),
        (date(2027, 7, 18), 280_800_00, "loan paid out"),
    ]
    # 30/360: 76 days of the first, 27 of the second
    interest = round(124_800_00 * 0.09 * (76 + 27) / 360)
    back = [one for one in bank.entries if one.what == "bridge paid back"]
    assert {one.kind: one.cents for one in back} == {
        "interest": -interest,
        "principal": -249_600_00,
    }
    assert [one.cents for one in bank.entries if one.what == "fee of the bridge"] == [-300_00]
    dearer = bank.answer.true_cost.apr
    plain = ledger(BANK, calendar=NO_BANK_HOLIDAYS).answer.true_cost.apr
    assert dearer is not None
    assert plain is not None
    assert dearer > plain


def test_a_lender_may_pay_each_stage() -> None:
    stages = ledger({**BANK, "drawn": "each stage"})
    told = ledger({**BANK, "stages": ASKED})
    assert stages.entries == told.entries
    assert len(by_kind(stages, "drawdown")) == 3


def test_a_plan_without_stages_pays_those_of_the_dealer() -> None:
    assert ledger(MINE).answer.entries == ledger({**STAGED, "id": "own"}).answer.entries


def test_a_lease_is_paid_for_as_the_dealer_asks() -> None:
    lease = ledger(LEASE)
    assert to_dealer(lease.entries) == {
        date(2027, 2, 1): 31_200_00,
        date(2027, 5, 3): 124_800_00,
        date(2027, 6, 21): 124_800_00,
        date(2027, 8, 17): 31_200_00,
    }
    assert by_kind(lease, "drawdown") == [(date(2027, 7, 12), 296_400_00, "paid by the lessor")]
    taxed = ledger(LEASE, sales_tax={"rate": 0.1})
    assert sum(c for _, c, _ in by_kind(taxed, "sales-tax")) == -(
        1560_00 + 48 * 715_00 + 1500_00
    )  # of deposit, rents and buyout, as without the dealer's days


def test_a_credit_line_bears_interest_month_by_month_and_covers_as_far_as_it_goes() -> None:
    account = {"opening": 100_000.0, "credit_limit": 150_000.0, "credit_rate": 0.1}
    bank = ledger(BANK, account=account, calendar=NO_BANK_HOLIDAYS)
    charged = [e for e in bank.entries if e.what == "interest on the credit line"]
    may = 29 + 1  # 2 to 31 May, below 0 by 56,000
    assert charged[0].date == date(2027, 5, 31)
    assert charged[0].cents == -round(56_000_00 * 0.1 * may / 365)
    (short, *_) = bank.answer.short
    assert short.first == date(2027, 6, 21)
    early = [e.balance_cents for e in bank.answer.entries if e.date < date(2027, 7, 18)]
    assert short.cents == -min(early) - 150_000_00


@pytest.mark.parametrize("limit", [0, -500])
def test_days_in_a_row_below_a_limit_are_told_together(limit: int) -> None:
    start = date(2027, 1, 30)
    daily = [(start + timedelta(days=k), c) for k, c in enumerate([5, -600, -900, 3, -501, 0])]
    first, second = spans_below(daily, limit)
    assert (first.first, first.last, first.worst) == (daily[1][0], daily[2][0], daily[2][0])
    assert first.cents == 900 + limit
    assert (second.first, second.last, second.cents) == (daily[4][0], daily[4][0], 501 + limit)


def test_interest_is_charged_on_interest() -> None:
    daily = [(date(2027, 1, 1) + timedelta(days=k), -365_000) for k in range(59)]
    assert list(interest_below_zero(daily, 0.1)) == [
        (date(2027, 1, 31), 3_100),
        (date(2027, 2, 28), 2_824),  # 28 days of 368,100
    ]


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        ({**STAGED, "stages": ({"share": 1.0, "when": "delivery"},)}, "plan 'staged', stages"),
        ({**BANK, "stages": ({"share": 1.0, "when": "delivery"},)}, "not those that the dealer"),
        ({**BANK, "deposit_when": "order"}, "plan 'bank', deposit_when: the dealer's own days"),
        ({**LEASE, "deposit_when": "order"}, "plan 'lease', deposit_when: the dealer's own days"),
    ],
)
def test_a_plan_that_pays_the_dealer_otherwise_is_one_sentence(
    plan: Mapping[str, Any], said: str
) -> None:
    (fault,) = paying_faults(case(plan, dealer={"stages": ASKED}))
    assert said in str(fault)


def test_stages_that_nobody_tells_are_missing() -> None:
    for plan in (MINE, {**BANK, "drawn": "each stage"}):
        (fault,) = paying_faults(case(plan))
        assert "stages: are missing" in str(fault)


def test_the_dealers_stages_are_the_whole_price_and_the_quote_ends_after_it_was_made() -> None:
    dealer = {
        "stages": ({"share": 0.5, "when": "order"},),
        "quoted": date(2027, 1, 9),
        "valid_until": date(2027, 1, 8),
    }
    shares, ends = paying_faults(case(MINE, dealer=dealer))
    assert "dealer, stages: the shares add up to 0.5" in str(shares)
    assert "dealer, valid_until: 2027-01-08 is before the quote" in str(ends)


def test_a_loan_at_the_usual_rate_is_worth_what_the_dealer_gets_on_his_days() -> None:
    """A way of paying counts only by its fees, its rate, and when the dealer is paid."""
    plan = {**RELEASED, "rate": 0.06, "interest_before": "first-payment"}
    asked = case(plan, dealer={"stages": ASKED}, account={"borrows_at": 0.06})
    clock = clock_of(asked)
    dealt = deal_of(paying(plan).plan[0], PRICE, clock)
    on_his_days = sum(
        -entry.cents * dealers_worth(asked, entry.date)
        for entry in dealt.entries
        if entry.kind == "contract"
    )
    assert worth_of_paying(asked, dealt, clock) == pytest.approx(on_his_days, rel=2e-4)
    own = case(MINE, dealer={"stages": ASKED}, account={"borrows_at": 0.06})
    assert order_factor(asked, "bank") == pytest.approx(order_factor(own, "own"), rel=2e-4)


@pytest.mark.parametrize("bridge", [None, BRIDGE, {"rate": 0.0}, {"rate": 0.05, "fee": 80.0}])
def test_what_bridge_and_lender_advance_and_get_back_is_what_the_account_sees(
    bridge: Mapping[str, float] | None,
) -> None:
    plan = {**BANK, "bridge": bridge}
    made = case(plan, dealer={"stages": ASKED}, calendar=NO_BANK_HOLIDAYS)
    assert made.paying is not None
    deal = deal_of(made.paying.plan[0], 312_000_00, clock_of(made))
    agreed, moved = defaultdict[date, float](float), defaultdict[date, float](float)
    for day, cents in deal.financed:
        agreed[day] += cents
    for entry in deal.entries:
        if entry.kind != "contract":
            moved[entry.date] += entry.cents
    assert {d: c for d, c in moved.items() if c} == {d: c for d, c in agreed.items() if c}
    (only,) = cash(made, BARE).ledgers
    assert only.notes == ()


def test_a_bridge_at_the_usual_rate_is_worth_nothing_and_a_dearer_one_costs() -> None:
    account = {"borrows_at": 0.0725}
    worth = [
        order_factor(
            case({**RELEASED, **bridge}, dealer={"stages": ASKED}, account=account), "bank"
        )
        for bridge in ({}, {"bridge": {"rate": 0.0725}}, {"bridge": {"rate": 0.15}})
    ]
    assert worth[1] == pytest.approx(worth[0], abs=1e-4)
    assert worth[2] > worth[1] + 0.005


def test_without_building_and_shipping_the_days_count_back_from_first_chips() -> None:
    dates = Dates(order=date(2027, 2, 1), commission_days=6, first_chips=date(2027, 7, 18))
    days = clock_of(case(dates=dates)).days
    assert days["accepted"] == days["first_chips"] == date(2027, 7, 18)
    assert days["delivery"] == days["shipped"] == date(2027, 7, 12)
    at_once = Dates(order=date(2027, 2, 1), commission_days=6, first_chips=date(2027, 2, 3))
    assert clock_of(case(dates=at_once)).days["delivery"] == date(2027, 2, 1)


WHENS = ("order", "order + 45 days", "order + 90 days", "shipped", "delivery", "accepted + 30 days")


@some.composite
def stages(draw: some.DrawFn) -> tuple[Mapping[str, Any], ...]:
    days = draw(some.lists(some.sampled_from(WHENS), min_size=1, max_size=4, unique=True))
    cuts = sorted(draw(some.integers(0, 1000)) for _ in days[1:])
    edges = [0, *cuts, 1000]
    return tuple(
        {"share": (b - a) / 1000, "when": when}
        for a, b, when in zip(edges, edges[1:], days, strict=False)
    )


@some.composite
def plans(draw: some.DrawFn) -> Mapping[str, Any]:
    bridge = draw(some.sampled_from([None, BRIDGE, {"rate": 0.0}]))
    deposit = draw(some.sampled_from([0.0, 0.1, 0.35]))
    drawn = draw(some.sampled_from([None, "order", "shipped", "accepted", "each stage"]))
    loan = {**BANK, "deposit": deposit, "drawn": drawn, "bridge": bridge}
    loan["first_payment"] = "first_chips + 3 months"
    lease = {**LEASE, "deposit": deposit, "bridge": bridge}
    return draw(some.sampled_from([MINE, loan, lease]))


@given(
    plans(),
    stages(),
    some.integers(250_000_00, 400_000_00),
    some.integers(0, 60),
    some.integers(0, 400_000),
    some.sampled_from([0.0, 60_000.0]),
)
@settings(max_examples=120, deadline=None)
def test_the_dealer_gets_what_he_asks_and_every_day_is_funded_or_told(
    plan: Mapping[str, Any],
    asked: tuple[Mapping[str, Any], ...],
    price: int,
    build_weeks: int,
    opening: int,
    limit: float,
) -> None:
    dates = Dates(order=date(2027, 2, 1), build_weeks=build_weeks, ship_weeks=3, commission_days=6)
    account = {"opening": float(opening), "credit_limit": limit}
    made = case(plan, dates=dates, dealer={"stages": asked}, account=account)
    machine = made.machine.model_copy(update={"base_price": price / 100})
    made = made.model_copy(update={"machine": machine})
    (only,) = cash(made, BARE).ledgers
    clock = clock_of(made)
    wanted: dict[date, int] = defaultdict(int)
    left = price
    for number, stage in enumerate(made.paying.dealer.stages, start=1):  # type: ignore[union-attr] # told
        exact = int((price * round(stage.share * 1000) + 500) // 1000)
        cents = left if number == len(asked) else exact
        left -= cents
        wanted[clock.paid(clock.nominal(stage.when))] += cents
    assert to_dealer(only.entries) == {day: cents for day, cents in wanted.items() if cents}
    moved: dict[date, int] = defaultdict(int)
    for entry in only.entries:
        moved[entry.date] += entry.cents
    balance, told = opening * 100, only.answer.short
    day, last = min(moved), max(moved)
    while day <= last:
        balance += moved[day]
        missing = max(-round(limit * 100) - balance, 0)
        lines = [one for one in told if one.first <= day <= one.last]
        assert bool(missing) == bool(lines)
        assert all(missing <= one.cents for one in lines)
        assert all(missing == one.cents for one in lines if one.worst == day)
        day += timedelta(days=1)
    assert balance == only.answer.entries[-1].balance_cents


@given(plans(), stages())
@settings(max_examples=60, deadline=None)
def test_no_stages_of_the_dealer_means_what_the_plan_says(
    plan: Mapping[str, Any], asked: tuple[Mapping[str, Any], ...]
) -> None:
    """A loan drawn as he is to be paid is the same whether he or the plan tells the stages."""
    loan = {**BANK, "first_payment": "first_chips + 3 months", "deposit": plan.get("deposit", 0.1)}
    try:
        own = cash(case({**loan, "stages": asked}), BARE).ledgers
    except CaseError:
        return
    his = cash(case({**loan, "drawn": "each stage"}, dealer={"stages": asked}), BARE).ledgers
    assert [e.cents for e in own[0].entries] == [e.cents for e in his[0].entries]
