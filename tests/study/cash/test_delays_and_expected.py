"""What-ifs on delays, and bands of retrofits that may come."""

from datetime import date

import numpy as np
import pytest

from optioneer.money.days import BusinessDays
from optioneer.study.advice.retrofits import (
    ALL,
    WHEN_NEVER,
    RetrofitPayments,
    bands,
    retrofit_payments,
)
from optioneer.study.cash.delays import delayed_plans
from optioneer.study.worth.valued_case import valued_case
from tests.paying_cases import ACCOUNT, BANK, BARE, STAGED, case


def test_every_plan_meets_every_delay() -> None:
    rows = delayed_plans(case(STAGED, BANK, account=ACCOUNT), BARE)
    assert len(rows) == 2 * 4
    assert {row.plan for row in rows} == {"staged", "bank"}
    assert all(row.delayed is not None for row in rows)


def test_a_point_more_leaves_a_plan_without_a_loan_as_it_is() -> None:
    rows = delayed_plans(case(STAGED, BANK, account=ACCOUNT), BARE)
    dearer = {row.plan: row for row in rows if "point" in row.delay}
    assert dearer["staged"].delayed == dearer["staged"].planned
    assert dearer["bank"].delayed != dearer["bank"].planned


def test_a_delay_that_breaks_a_plan_is_told_instead_of_hidden() -> None:
    fixed = {**BANK, "first_payment": date(2027, 8, 2)}
    rows = delayed_plans(case(fixed), BARE)
    late = next(row for row in rows if "late" in row.delay)
    assert late.delayed is None
    assert "does not come after the loan is drawn on 2027-09-06" in late.fault


def payments(option: str, periods: list[int], paid: list[float]) -> RetrofitPayments:
    return RetrofitPayments(option, np.array(periods, dtype=np.int32), np.array(paid))


def test_bands_add_up_what_is_paid_in_the_same_year_of_the_same_future() -> None:
    never = WHEN_NEVER
    found = bands(
        [
            payments("probe", [0, 3, 4, never], [100.0, 100, 100, 0]),
            payments("door", [1, never, 5, never], [50.0, 0, 70, 0]),
        ],
        first_chips=date(2027, 10, 10),
        periods=8,
        periods_per_year=4,
    )
    first, second = (band for band in found if band.option == ALL)
    assert (first.start, first.end) == (date(2027, 10, 10), date(2028, 10, 9))
    assert (first.chance, first.mean, first.p50) == (0.5, 62.5, 50.0)
    assert (second.chance, second.mean) == (0.25, 42.5)
    assert {band.option for band in found} == {ALL, "probe", "door"}


def test_what_the_engine_pays_later_comes_back_at_its_present_cost() -> None:
    found = valued_case(
        case().model_copy(update={"growth": case().growth.model_copy(update={"futures": 256})})
    )
    paid = retrofit_payments(found, BARE)
    factors = found.problem.timeline.at_start
    fitted = [one for one in paid if (one.period >= 0).any()]
    assert fitted
    for one in fitted:
        some = one.period >= 0
        # by hand: at least the factory price times the least multiplier, at prices of that day
        option = found.case.catalogue.by_id[one.option]
        assert option.multiplier is not None
        least = option.price * min(option.multiplier.low, option.eased.low if option.eased else 9)
        assert one.paid[some].min() >= least
        assert (one.paid[some] * factors[one.period[some]]).mean() < one.paid[some].mean()


def test_business_days_without_a_convention_stay() -> None:
    saturday = date(2027, 7, 10)
    assert BusinessDays("none").moved(saturday) == saturday
    assert BusinessDays("preceding").moved(saturday) == date(2027, 7, 9)


@pytest.mark.parametrize("weeks", [0, 5])
def test_the_machine_cannot_come_before_its_order(weeks: int) -> None:
    early = case(STAGED).model_copy(
        update={"dates": case().dates.model_copy(update={"build_weeks": float(weeks)})}
    )
    rows = delayed_plans(early, BARE)
    first = next(row for row in rows if "early" in row.delay)
    assert first.delayed is not None
    assert min(entry.date for entry in first.delayed.entries) >= early.dates.order
