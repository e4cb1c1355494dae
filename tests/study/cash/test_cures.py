"""What would keep the account from falling too low."""

from optioneer.model.case import Case
from optioneer.study.cash.answers import DatedCost
from optioneer.study.cash.cash import cash
from optioneer.study.cash.cures import Cure, _later_order, cures, ordered_later
from optioneer.study.cash.delays import with_only
from tests.paying_cases import ACCOUNT, BARE, STAGED, case

LOW = {**ACCOUNT, "opening": 60_000.0}
"""So little that stages of 312,000 take the account far below what is kept."""


def found(told: Case, plan: str = "staged", works: tuple[DatedCost, ...] = ()) -> tuple[Cure, ...]:
    return cures(told, BARE, cash(told, BARE, works=works), works, plan=plan)


def only(cured: tuple[Cure, ...], kind: str) -> list[Cure]:
    return [one for one in cured if one.kind == kind]


def test_nothing_is_to_be_cured_where_the_account_never_falls_too_low() -> None:
    rich = case(STAGED, account={**ACCOUNT, "opening": 900_000.0})
    assert found(rich) == ()


def test_the_opening_that_is_named_is_the_least_that_cures() -> None:
    (cure,) = only(found(case(STAGED, account=LOW)), "opening")
    for more, enough in ((0, True), (-1, False)):
        opening = (cure.opening_cents + more) / 100
        again = cash(case(STAGED, account={**LOW, "opening": opening}), BARE)
        assert (again.answer.plans[0].days_below == 0) == enough
    assert cure.lowest_cents == 40_000_00  # what should be kept, and not a cent above it


def test_other_plans_are_named_with_what_they_leave() -> None:
    told = case(account=LOW)
    plans = {one.id: one for one in cash(told, BARE).answer.plans}
    others = only(found(told), "plan")
    assert [one.plan for one in others] == ["bank", "lease"]
    for one in others:
        answer = plans[one.plan]
        assert (one.lowest_cents, one.days_below) == (answer.lowest.cents, answer.days_below)


def test_an_order_not_put_off_at_all_is_the_plan_as_it_is() -> None:
    told = case(account=LOW)
    for ledger in cash(told, BARE).ledgers:
        alone = with_only(told, ledger.answer.id)
        same = _later_order(alone, BARE, ledger, 0)
        assert same.lowest_cents == ledger.answer.lowest.cents
        assert same.opening_cents == 60_000_00
        # alone, the timeline may end earlier than beside plans that last longer
        assert same.days_below <= ledger.answer.days_below


def test_until_a_later_order_the_rest_of_the_business_goes_on() -> None:
    later = {one.weeks: one for one in only(found(case(STAGED, account=LOW)), "order")}
    # from 1 February to 1 March 2027, 3 May and 2 August: 9,000 on the 28th of each month
    assert {weeks: one.opening_cents for weeks, one in later.items()} == {
        4: 69_000_00,
        13: 87_000_00,
        26: 114_000_00,
    }
    lows = [one.lowest_cents for one in later.values()]
    assert lows == sorted(lows)  # each month more in the account, the same stages


def test_a_later_order_moves_a_stated_day_of_first_chips_too() -> None:
    told = case(STAGED)
    stated = told.dates.model_copy(update={"first_chips": told.dates.first_chips_date})
    told = told.model_copy(update={"dates": stated})
    moved = ordered_later(told, 4).dates
    assert (moved.order - told.dates.order).days == 28
    assert (moved.first_chips_date - told.dates.first_chips_date).days == 28


def test_paying_for_the_site_later_leaves_more_on_the_lowest_day() -> None:
    told = case(STAGED, account=LOW)
    low = cash(told, BARE).answer.plans[0].lowest.date
    works = (DatedCost(low, 10_000_00, "transformer", "wholesaler"),)
    cured = only(found(told, works=works), "site")
    assert [one.weeks for one in cured] == [4, 8]
    without = cash(told, BARE).answer.plans[0].lowest.cents
    # 10,000 later by a month in which 9,000 come in, then by two
    assert [one.lowest_cents for one in cured] == [without - 1_000_00, without]
    assert only(found(told), "site") == []
