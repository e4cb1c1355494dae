"""What the machine moves, month by month and until a day: nothing is lost, nothing counts twice."""

from datetime import date

import numpy as np
import pytest

from optioneer.study.account.account import machine_months
from optioneer.study.account.bands import Balances, band, months_between
from optioneer.study.account.cover import lenders_view
from optioneer.study.account.flows import MachineFlow, machine_flows
from optioneer.study.advice.package_choice import named_package
from optioneer.study.cash.financing import income_tax_rate
from optioneer.study.worth.valued_case import valued_case
from tests.paying_cases import ACCOUNT, LEASE, case
from tests.study.account.test_account import small, told

SPAN = (date(2027, 11, 20), date(2029, 2, 3))


def flow(day: date, cents: int, *, kind: str = "work") -> MachineFlow:
    return MachineFlow(day, kind, np.array([cents]))  # type: ignore[arg-type]


FLOWS = (
    flow(date(2027, 11, 20), 1),
    flow(date(2027, 11, 30), 20, kind="upkeep"),
    flow(date(2027, 12, 1), 300),
    flow(date(2028, 11, 30), 4_000),
    flow(date(2029, 2, 3), 50_000, kind="tax"),
)


def test_the_months_add_up_to_all_that_moves() -> None:
    months = machine_months(FLOWS, SPAN)
    assert sum(month.net.p50 for month in months) == 54_321
    assert sum(month.earned.p50 for month in months) == 4_301


def test_a_month_of_another_year_is_another_month_and_an_idle_one_is_left_out() -> None:
    net = {month.month: month.net.p50 for month in machine_months(FLOWS, SPAN)}
    assert net == {"2027-11": 21, "2027-12": 300, "2028-11": 4_000, "2029-02": 50_000}


def test_there_are_as_many_months_as_are_begun() -> None:
    months = months_between(*SPAN)
    assert len(months) == 2 + 12 + 2
    assert {month.day for month in months} == {1}
    assert months == sorted(set(months))


def test_a_balance_stands_until_something_moves_and_a_month_begins_with_it() -> None:
    days = (date(2027, 1, 10), date(2027, 3, 5), date(2027, 3, 31))
    held = Balances(days, np.array([[100], [-20], [70]]))
    month = {k: date(2027, k, 1) for k in (1, 2, 3, 4)}
    assert [int(held.at_end_of(month[k])[0]) for k in (1, 2, 3, 4)] == [100, 100, 70, 70]
    assert [int(held.lowest_in(month[k])[0]) for k in (1, 2, 3, 4)] == [100, 100, -20, 70]


@pytest.mark.parametrize("count", [1, 2, 9, 10, 11, 64])
def test_a_band_is_three_of_the_futures_by_rank(count: int) -> None:
    """Order statistics: of n values the one with at least a share q of them at or below it."""
    values = np.random.default_rng(count).permutation(count).astype(np.int64)
    found = band(values)
    shares = ((found.p10, 0.1), (found.p50, 0.5), (found.p90, 0.9))
    for value, share in shares:
        assert (values <= value).mean() >= share - 1e-9
        assert (values < value).mean() < share


def test_what_moves_on_the_last_day_counts_and_later_days_do_not() -> None:
    found = valued_case(small(income_tax={"rate": 0.25, "depreciation": "macrs-7"}))
    package = named_package(found.case, "base")
    every = machine_flows(found, package, date(2040, 1, 1))
    assert [one.day for one in every] == sorted(one.day for one in every)
    for last in (every[40].day, every[90].day):
        until = machine_flows(found, package, last)
        kinds = [(one.day, one.kind) for one in every if one.day <= last and one.kind != "tax"]
        assert [(one.day, one.kind) for one in until if one.kind != "tax"] == kinds


def test_half_of_the_work_leaves_what_all_of_it_does_less_a_half_and_its_tax() -> None:
    asked = small(income_tax={"rate": 0.25, "depreciation": "macrs-7"})
    found, study = told(asked)
    held = next(one for one in study.plans if one.ledger.answer.id == "bank")
    answer = lenders_view(found, study, "bank")
    assert income_tax_rate(asked) == 0.25
    for year in answer.years:
        work = np.zeros(len(held.flows[0].cents))
        left = np.full(len(work), float(year.rest_cents))
        for one in (*held.flows, *held.charged):
            if one.day.year == year.year and one.kind in {"work", "upkeep", "tax"}:
                left += one.cents
                work += one.cents * (one.kind == "work")
        half = np.quantile(left - 0.5 * 0.75 * work, 0.5, method="inverted_cdf")
        assert year.half_cents == pytest.approx(half, abs=1.0)


def test_what_is_rented_is_not_owed() -> None:
    found, study = told(case(LEASE, account=ACCOUNT))
    assert {year.owed_cents for year in lenders_view(found, study, "lease").years} == {0}
