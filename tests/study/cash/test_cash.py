"""The cash timeline: ledgers that add up, dates that are legal, costs that are what they seem."""

from datetime import date
from typing import Any

import pytest

from optioneer.errors import CaseError, RequestError
from optioneer.model.machine import Package
from optioneer.study.cash.answers import DatedCost
from optioneer.study.cash.cash import CashStudy, Gap, PlanLedger, cash
from optioneer.study.cash.dates import Delay, clock_of
from optioneer.study.cash.financing import order_factor
from tests.paying_cases import ACCOUNT, BANK, BARE, LEASE, STAGED, case

PRICE = 312_000_00


def ledger(study: CashStudy, plan: str) -> PlanLedger:
    return next(one for one in study.ledgers if one.answer.id == plan)


def amounts(one: PlanLedger, *kinds: str) -> list[tuple[date, int]]:
    return [(entry.date, entry.cents) for entry in one.entries if entry.kind in kinds]


def test_stages_fall_on_their_milestones_and_move_to_business_days() -> None:
    staged = ledger(cash(case(), BARE), "staged")
    assert amounts(staged, "contract") == [
        (date(2027, 2, 1), -31_200_00),
        (date(2027, 5, 3), -124_800_00),  # 2 May is a Sunday
        (date(2027, 6, 21), -124_800_00),
        (date(2027, 8, 17), -31_200_00),
    ]


def test_a_loan_by_hand() -> None:
    bank = ledger(cash(case(), BARE), "bank")
    lent = 280_800_00
    assert amounts(bank, "drawdown") == [(date(2027, 7, 12), lent)]
    assert amounts(bank, "contract") == [(date(2027, 2, 1), -31_200_00), (date(2027, 7, 12), -lent)]
    assert amounts(bank, "fee") == [(date(2027, 7, 12), -950_00)]
    # delivered 12 July, first chips 18 July, first instalment 18 August: 36 days of 30/360
    first = amounts(bank, "interest")[0]
    assert first == (date(2027, 8, 18), -round(lent * 0.0725 * 36 / 360))
    assert sum(cents for _, cents in amounts(bank, "principal")) == -lent


def test_a_lease_with_two_rents_in_advance_by_hand() -> None:
    lease = ledger(cash(case(), BARE), "lease")
    rents = amounts(lease, "rent")
    assert len(rents) == 48
    assert rents[:3] == [(date(2027, 7, 12), -7150_00)] * 2 + [(date(2027, 8, 12), -7150_00)]
    assert rents[-1][0] == date(2031, 5, 12)
    assert amounts(lease, "buyout") == [(date(2031, 7, 14), -15_000_00)]
    assert lease.answer.true_cost.total_paid_cents == 48 * 7150_00 + 15_000_00 + 15_600_00


def test_options_flow_through_to_the_contract() -> None:
    package = Package(id="more", options=("auto-door", "robot-interface", "sub-spindle"))
    study = cash(case(), package)
    assert study.answer.plans[0].contract_cents == PRICE + 4800_50 + 3500_00 + 38_000_00 - 800_00
    assert [line.cents for line in study.lines] == [PRICE, 38_000_00, 4800_50, 3500_00, -800_00]


def test_leaving_a_standard_item_off_brings_its_credit() -> None:
    study = cash(case(), Package(id="less", without=("chip-conveyor",)))
    assert study.answer.plans[0].contract_cents == PRICE - 4000_00


def test_works_are_paid_from_the_same_account() -> None:
    works = [DatedCost(date(2027, 6, 5), 12_345_67, "power feed", "electrician", "power")]
    study = cash(case(STAGED), BARE, works=works)
    entry = next(entry for entry in study.ledgers[0].entries if entry.kind == "site")
    assert (entry.date, entry.cents, entry.belongs_to) == (date(2027, 6, 7), -12_345_67, "power")


def test_the_rest_of_the_business_is_told_up_to_the_last_cost_and_no_further() -> None:
    """A power feed on Saturday 28 August, the day of the regular amount, which moves to Monday."""
    works = [DatedCost(date(2027, 8, 28), 100_00, "power feed", "electrician")]
    study = cash(case(STAGED, account=ACCOUNT), BARE, works=works)
    regular = amounts(study.ledgers[0], "regular")
    assert [day.month for day, _ in regular] == [3, 3, 4, 5, 6, 7]
    assert regular[0] == (date(2027, 3, 1), 9000_00)  # 28 February is a Sunday, too


def test_lowest_balance_days_below_and_the_opening_that_would_do() -> None:
    study = cash(case(STAGED, account={"opening": 200_000.0, "keep_above": 40_000.0}), BARE)
    answer = study.answer.plans[0]
    assert answer.lowest.cents == 200_000_00 - PRICE
    assert answer.lowest.date == date(2027, 8, 17)
    assert answer.opening_needed_cents == PRICE + 40_000_00
    # 44,000 after 3 May; below 40,000 from 21 June to the last day, 17 August
    assert answer.days_below == (date(2027, 8, 17) - date(2027, 6, 21)).days + 1


def test_with_the_opening_that_would_do_no_day_ends_below() -> None:
    first = cash(case(account=ACCOUNT), BARE).answer.plans
    for plan in first:
        enough = {**ACCOUNT, "opening": plan.opening_needed_cents / 100}
        again = cash(case(account=enough), BARE, plan=plan.id).answer.plans[0]
        assert (again.days_below, again.lowest.cents) == (0, 40_000_00)
        short = {**ACCOUNT, "opening": plan.opening_needed_cents / 100 - 0.01}
        assert cash(case(account=short), BARE, plan=plan.id).answer.plans[0].days_below > 0


def test_a_loan_at_no_interest_without_fee_has_a_rate_of_zero() -> None:
    free = {**BANK, "rate": 0.0, "fee": 0.0}
    cost = cash(case(free), BARE).answer.plans[0].true_cost
    assert (cost.apr, cost.effective_rate, cost.xirr) == pytest.approx((0, 0, 0), abs=1e-9)
    assert (cost.interest_cents, cost.total_paid_cents) == (0, PRICE)


def test_the_rate_of_a_loan_without_fee_is_its_own_rate() -> None:
    plain = {**BANK, "fee": 0.0, "first_payment": "delivery + 1 month"}
    cost = cash(case(plain), BARE).answer.plans[0].true_cost
    assert cost.apr == pytest.approx(0.0725, abs=1e-5)
    assert cost.effective_rate == pytest.approx((1 + 0.0725 / 12) ** 12 - 1, abs=1e-5)


def test_a_staged_plan_lends_nothing_and_has_no_rate() -> None:
    cost = cash(case(STAGED), BARE).answer.plans[0].true_cost
    assert (cost.apr, cost.effective_rate, cost.xirr, cost.interest_cents) == (None, None, None, 0)


def test_variable_draw_with_interest_during_the_build_by_hand() -> None:
    build = {**BANK, "stages": STAGED["stages"], "first_payment": "first_chips + 3 months"}
    bank = ledger(cash(case(build), BARE), "bank")
    assert amounts(bank, "drawdown") == [
        (date(2027, 5, 3), 124_800_00),
        (date(2027, 6, 21), 124_800_00),
        (date(2027, 8, 17), 31_200_00),
    ]
    interest = amounts(bank, "interest")
    # settled on the 18th from May: 16 days of one stage, a month, then 27 days of the second
    assert interest[0] == (date(2027, 5, 18), -round(124_800_00 * 0.0725 * 16 / 360))
    assert interest[1] == (date(2027, 6, 18), -round(124_800_00 * 0.0725 / 12))
    assert sum(cents for _, cents in amounts(bank, "principal")) == -280_800_00


def test_an_early_payoff_ends_the_loan_and_charges_its_fee() -> None:
    early = {**BANK, "early_payoff": {"when": "first_chips + 24 months", "fee": 0.01}}
    bank = ledger(cash(case(early), BARE), "bank")
    rest = [e for e in bank.entries if e.what == "early payoff" and e.kind == "principal"]
    fees = amounts(bank, "fee")
    assert rest[0].date == fees[-1][0] == date(2029, 7, 18)
    assert fees[-1][1] == -round(-rest[0].cents * 0.01)
    assert sum(cents for _, cents in amounts(bank, "principal")) == -280_800_00


def test_rents_move_with_the_price_they_were_quoted_for() -> None:
    quoted = {**LEASE, "quoted_price": 312_000.0}
    more = Package(id="more", options=("sub-spindle",))
    rents = [amounts(cash(case(quoted), one).ledgers[0], "rent")[0][1] for one in (BARE, more)]
    assert rents == [-7150_00, -round(7150_00 * 350 / 312)]


def test_the_cheapest_and_the_safest_are_named_with_what_lies_between_them() -> None:
    study = cash(case(account=ACCOUNT), BARE)
    costs = {plan.id: plan.true_cost.present_cost for plan in study.answer.plans}
    lows = {plan.id: plan.lowest.cents for plan in study.answer.plans}
    assert study.answer.cheapest == min(costs, key=lambda one: costs[one])
    assert study.answer.safest == max(lows, key=lambda one: lows[one])
    assert study.answer.cheapest is not None
    assert study.answer.safest is not None
    assert study.gap == Gap(
        costs[study.answer.safest] - costs[study.answer.cheapest],
        lows[study.answer.safest] - lows[study.answer.cheapest],
    )


def test_nothing_lies_between_the_cheapest_and_the_safest_when_they_are_one() -> None:
    study = cash(case(STAGED, account=ACCOUNT), BARE)
    assert (study.answer.cheapest, study.answer.safest, study.gap) == ("staged", "staged", None)


def test_one_plan_alone_has_the_same_ledger_as_among_the_others() -> None:
    together = cash(case(account=ACCOUNT), BARE)
    alone = cash(case(account=ACCOUNT), BARE, plan="bank")
    assert alone.answer.plans == tuple(p for p in together.answer.plans if p.id == "bank")
    assert alone.answer.cheapest == together.answer.cheapest


def test_all_paid_at_the_order_costs_exactly_its_price() -> None:
    once = {"id": "cash", "kind": "staged", "stages": ({"share": 1.0, "when": "order"},)}
    assert order_factor(case(once), "cash") == 1.0


def test_the_order_factor_of_stages_by_hand() -> None:
    found = case(STAGED)
    days = [0, 91, 140, 197]
    worth = [
        share * 1.09 ** (-k / 365) for share, k in zip((0.1, 0.4, 0.4, 0.1), days, strict=True)
    ]
    assert order_factor(found, "staged") == pytest.approx(sum(worth), abs=1e-12)


def test_the_order_factor_after_tax_takes_the_tax_saved_off() -> None:
    tax = {"rate": 0.25, "depreciation": "macrs-7", "first_year_share": 1.0, "pays": ("12-31",)}
    # all of it at 9 % less a quarter, for no loan is on offer
    days = zip((0.1, 0.4, 0.4, 0.1), (0, 91, 140, 197), strict=True)
    paid = sum(share * 1.0675 ** (-k / 365) for share, k in days)
    saved = 0.25 * 1.0675 ** (-333 / 365)
    assert order_factor(case(STAGED, income_tax=tax), "staged") == pytest.approx(paid - saved)


def test_a_late_machine_moves_what_hangs_on_it_and_nothing_else() -> None:
    late = cash(case(), BARE, delay=Delay(machine_weeks=4))
    assert [day for day, _ in amounts(ledger(late, "staged"), "contract")] == [
        date(2027, 2, 1),
        date(2027, 5, 3),
        date(2027, 7, 19),
        date(2027, 9, 14),
    ]


def test_a_refused_acceptance_moves_the_last_stage_and_first_chips() -> None:
    planned, refused = clock_of(case()).days, clock_of(case(), Delay(acceptance_weeks=6)).days
    moved = {name for name, day in refused.items() if day != planned[name]}
    assert moved == {"accepted", "first_chips"}


def test_a_point_more_of_interest_costs_more() -> None:
    plain, dearer = (
        cash(case(BANK), BARE, delay=delay).answer.plans[0].true_cost
        for delay in (Delay(), Delay(rate_points=0.01))
    )
    assert dearer.interest_cents > plain.interest_cents
    assert dearer.apr is not None
    assert plain.apr is not None
    assert dearer.apr - plain.apr == pytest.approx(0.01, abs=2e-4)


def test_a_case_without_plans_is_told_so() -> None:
    with pytest.raises(RequestError, match=r"has no plan in paying\.toml"):
        cash(case().model_copy(update={"paying": None}), BARE)


def test_an_unknown_plan_is_told_with_the_known_ones() -> None:
    with pytest.raises(RequestError, match=r"no plan 'bnak'\. Did you mean 'bank'"):
        cash(case(), BARE, plan="bnak")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"balloon": 300_000.0}, "balloon: 300000.00 is more than the 280800.00 that are lent"),
        ({"payment": 1000.0}, "payment: 1000.00 does not repay the loan in 60 months"),
        ({"steps": ({"after": 1, "times": 0.0},), "interest_only": 1}, "no instalment repays"),
        ({"first_payment": "delivery - 1 day"}, "does not come after the loan is drawn"),
    ],
)
def test_a_loan_that_cannot_be_kept_is_told_in_one_sentence(
    change: dict[str, Any], said: str
) -> None:
    with pytest.raises(CaseError, match=said):
        cash(case({**BANK, **change}), BARE)
