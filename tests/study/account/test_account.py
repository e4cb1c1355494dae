"""The account with the machine in it: the same money as the valuation, future by future."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.dates import month_end, plus_months
from optioneer.files.case.demos import demo_folders
from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.money.credit import interest_below_zero
from optioneer.money.ledger import Entry, daily_balances, lowest
from optioneer.study.account.account import AccountStudy, account_study
from optioneer.study.account.bands import band
from optioneer.study.account.work import base_worth, option_worth, yearly_work
from optioneer.study.advice.package_choice import named_package
from optioneer.study.cash.cash import LINE_INTEREST
from optioneer.study.cash.dates import clock_of
from optioneer.study.cash.financing import income_tax_rate
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.packages import package_holding, states_of
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.timing.journey import Journey
from tests.hours import short_of_hours
from tests.oracle.cases import certain, stream
from tests.paying_cases import ACCOUNT, BANK, MINE, case

FUTURES, FEW = 64, 16


def small(*, line: Mapping[str, float] = MappingProxyType({}), **facts: Any) -> Case:
    account = {**ACCOUNT, "payroll": 20_000.0, **line}
    asked = case(MINE, BANK, account=account, dealer=STAGES, **facts)
    return with_draws(asked, FUTURES)


STAGES = {
    "stages": (
        {"share": 0.10, "when": "order"},
        {"share": 0.40, "when": "order + 90 days"},
        {"share": 0.50, "when": "accepted + 30 days"},
    )
}


def told(asked: Case) -> tuple[Valued, AccountStudy]:
    found = valued_case(asked)
    return found, account_study(found, named_package(asked, "base"))


def played(study: AccountStudy, asked: Case, number: int) -> dict[str, list[int]]:
    """One future through the ledger, entry by entry: month-end balances and lowest, by plan."""
    assert asked.paying is not None
    opening, found = round(asked.paying.account.opening * 100), {}
    for plan in study.plans:
        moved = (
            Entry(flow.day, int(flow.cents[number]), "regular", flow.kind, "shop")
            for flow in plan.flows
        )
        contracted = [e for e in plan.ledger.entries if e.what != LINE_INTEREST]
        entries = [*contracted, *moved]
        first = min(asked.dates.order, *(e.date for e in plan.ledger.entries))
        span = first, study.answer.until
        daily = daily_balances(entries, opening, span)
        if study.answer.line_rate is not None:
            borne = interest_below_zero(daily, study.answer.line_rate)
            charged = [
                Entry(day, -cents, "interest", LINE_INTEREST, "bank") for day, cents in borne
            ]
            daily = daily_balances([*entries, *charged], opening, span)
        ends = [cents for day, cents in daily if day in (month_end(day), study.answer.until)]
        found[plan.ledger.answer.id] = [*ends, lowest([(first, opening), *daily])[1]]
    return found


@pytest.mark.parametrize("line", [{}, {"credit_limit": 60_000.0, "credit_rate": 0.11}])
def test_futures_played_one_by_one_through_the_ledger_give_the_same_bands(
    line: dict[str, float],
) -> None:
    asked = small(income_tax={"rate": 0.25, "depreciation": "macrs-7"}, line=line)
    asked = with_draws(asked, FEW)
    _, study = told(asked)
    assert any(plan.charged for plan in study.plans) == bool(line)
    one_by_one = [played(study, asked, number) for number in range(FEW)]
    for plan in study.answer.plans:
        rows = np.array([each[plan.id] for each in one_by_one]).T
        assert [month.balance for month in plan.months] == [band(row) for row in rows[:-1]]
        assert plan.lowest == band(rows[-1])
        keep = study.answer.keep_cents
        assert plan.below == (rows[-1] < keep).mean()
        assert plan.line_all_cents == max(keep - rows[-1].min(), 0)


def apart_from_the_outcome(found: Valued, name: str) -> Floats:
    """By how much what the account counts misses the outcome, discounted and after tax."""
    package = (
        package_holding(found.case, "best", found.options(best_package(found)))
        if name == "best"
        else named_package(found.case, name)
    )
    states = states_of(found, package)
    journeys = found.journeys(states)
    earned, upkeep = yearly_work(found, journeys)
    timeline, left = found.problem.timeline, 1.0 - income_tax_rate(found.case)
    total = left * ((timeline.during * timeline.dt) @ (earned - upkeep))
    total -= sum((journey.paid.sum(axis=0) for journey in journeys), np.zeros(len(total)))
    total += _sold(found, journeys)
    lived = zip(found.costs, states, journeys, strict=True)
    after = sum(cost.lattice.price[state] + journey.cost for cost, state, journey in lived)
    total -= found.problem.base_price + sum(
        cost.lattice.price[state] for cost, state in zip(found.costs, states, strict=True)
    )
    outcome = found.margin - found.constant - after - found.mix.whole(journeys)
    return np.asarray(total - outcome)


def _sold(found: Valued, journeys: Sequence[Journey]) -> Floats:
    timeline, left = found.problem.timeline, 1.0 - income_tax_rate(found.case)
    stay, count = found.world.valued.stay, found.world.valued.count
    ends = stay if stay.size else np.full(count, timeline.periods)
    total = np.zeros(count)
    for period in sorted(set(ends.tolist())):
        if period < timeline.periods:
            options = option_worth(found, journeys, period)
        else:
            pairs = zip(found.costs, journeys, strict=True)
            options = sum((c.lattice.resale[j.owned[-1]] / left for c, j in pairs), np.zeros(count))
        worth = timeline.at_start[period] * left * (base_worth(found, period) + options)
        total += np.where(ends == period, worth, 0.0)
    return total


@pytest.mark.parametrize("tax", [None, {"rate": 0.25, "depreciation": "macrs-7"}])
def test_discounted_and_taxed_it_is_the_outcome_of_the_valuation(tax: Any) -> None:
    found = valued_case(small(**({"income_tax": tax} if tax else {})))
    for name in ("base", "best"):
        assert np.abs(apart_from_the_outcome(found, name)).max() < 0.01


def test_so_it_is_on_a_demo() -> None:
    folder = next(one for one in demo_folders() if one.name == "small-mill")
    found = valued_case(with_draws(read_case(folder), FUTURES))
    assert np.abs(apart_from_the_outcome(found, "base")).max() < 1.0


def test_what_is_earned_ramps_up_after_first_chips() -> None:
    asked = small()
    work = [
        [flow for flow in told(with_ramp(asked, ramp))[1].plans[0].flows if flow.kind == "work"]
        for ramp in ((), (0.5,) * 30)
    ]
    assert work[0][0].day == clock_of(asked).paid(plus_months(asked.dates.first_chips_date, 1))
    assert work[0][29].cents.any()
    for month, (whole, ramped) in enumerate(zip(*work, strict=True)):
        share = 2 if month < 30 else 1
        assert np.abs(whole.cents - share * ramped.cents).max() <= 1


def test_the_ramp_is_a_quarter_more_each_month() -> None:
    assert told(small())[1].answer.ramp == (0.25, 0.5, 0.75, 1.0)


def with_ramp(asked: Case, ramp: tuple[float, ...]) -> Case:
    assert asked.paying is not None
    account = asked.paying.account.model_copy(update={"ramp": ramp})
    paying = asked.paying.model_copy(update={"account": account})
    return asked.model_copy(update={"paying": paying})


def test_ample_money_is_never_below_and_none_always() -> None:
    rich = small()
    assert rich.paying is not None
    for opening, below in ((1e8, 0.0), (0.0, 1.0)):
        account = rich.paying.account.model_copy(update={"opening": opening})
        paying = rich.paying.model_copy(update={"account": account})
        _, study = told(rich.model_copy(update={"paying": paying}))
        for plan in study.answer.plans:
            assert plan.below == below
            assert (plan.worst_month is None) == (below == 0.0)
            assert (plan.line_all_cents == 0) == (below == 0.0)
            assert plan.line_cents <= plan.line_all_cents


def test_retrofits_on_a_loan_are_paid_in_instalments() -> None:
    lent = case({**BANK, "retrofits": "loan"}, {**BANK, "id": "cash"}, account=ACCOUNT)
    found = valued_case(with_draws(lent, FUTURES))
    study = account_study(found, named_package(found.case, "base"))
    loan, at_once = ([flow for flow in one.flows if flow.kind == "retrofit"] for one in study.plans)
    assert len(loan) > len(at_once)
    assert sum(flow.cents.sum() for flow in at_once) <= 0


def test_so_it_is_where_two_fifths_of_some_work_are_done_whatever_is_ordered() -> None:
    """No option serves it: the rest of its margin is never earned."""
    by_hand = stream("by-hand", certain(0.0), 10e3, [], fallback=0.4, way=())
    asked = small()
    growth = asked.growth.model_copy(update={"stream": (*asked.growth.stream, by_hand)})
    found = valued_case(asked.model_copy(update={"growth": growth}))
    assert np.abs(apart_from_the_outcome(found, "best")).max() < 0.01


@pytest.mark.parametrize("beyond", [None, 60.0])
def test_so_it_is_where_hours_are_short(beyond: float | None) -> None:
    folder = next(one for one in demo_folders() if one.name == "small-mill")
    found = valued_case(short_of_hours(with_draws(read_case(folder), FUTURES), beyond=beyond))
    assert np.abs(apart_from_the_outcome(found, "base")).max() < 0.01
