"""Plan against fact: worked by hand on the invented shop."""

from datetime import date, timedelta

import pytest

from optioneer.study.cash.answers import CashEntry
from optioneer.study.record.decide import plan_to_compare
from optioneer.study.record.facts import (
    Arrived,
    Fitted,
    PaidFact,
    Planned,
    PlannedStream,
    Recorded,
    Recording,
)
from optioneer.study.record.since import Since, share_by, since
from tests import shop
from tests.study.dealer.test_questions import ADVISED

HELD = shop.ADVISED
PAYMENTS = ((date(2027, 2, 1), -10_000_00), (date(2027, 9, 6), -20_000_00))


def plan() -> Planned:
    entries = tuple(
        CashEntry(date=day, cents=cents, kind="contract", what="", payee="", balance_cents=0)
        for day, cents in PAYMENTS
    )
    made = plan_to_compare(shop.case(), ADVISED, HELD, shop.advice())
    return made.model_copy(update={"entries": entries, "plan": "staged"})


def told(*facts: PaidFact | Fitted | Arrived, day: date = date(2029, 9, 6)) -> Since:
    entries = tuple(Recording(number=n, what=fact) for n, fact in enumerate(facts, start=1))
    return since(plan(), Recorded(entries=entries), day)


def test_money_is_compared_up_to_the_day() -> None:
    paid = PaidFact(date=date(2027, 2, 2), cents=-10_000_50, kind="contract")
    late = PaidFact(date=date(2027, 9, 6), cents=-19_000_00, kind="contract")
    (one,) = told(paid, late, day=date(2027, 5, 1)).money
    assert (one.planned_cents, one.paid_cents) == (-10_000_00, -10_000_50)
    assert one.planned_in_all_cents == -30_000_00
    (all_of_it,) = told(paid, late).money
    assert (all_of_it.planned_cents, all_of_it.paid_cents) == (-30_000_00, -29_000_50)


def test_money_of_a_kind_that_nobody_planned_is_shown() -> None:
    kinds = {
        one.kind: one for one in told(PaidFact(date=date(2028, 1, 3), cents=-5, kind="fee")).money
    }
    assert (kinds["fee"].planned_cents, kinds["fee"].paid_cents) == (0, -5)


def test_a_realised_multiplier_is_in_money_of_the_order() -> None:
    # two years after the order at 3 % a year: 6,200 x 1.5 x 1.03^2
    cents = round(6_200 * 1.5 * 1.03**2 * 100)
    day = date(2027, 2, 1) + timedelta(days=730)
    made = told(Fitted(date=day, option="work-probe", cents=cents, downtime_days=2.0))
    inflation = plan().retrofit_inflation
    assert made.fitted[0].multiplier == pytest.approx(1.5 * (1.03 / (1 + inflation)) ** 2, abs=1e-5)
    assert made.fitted[0].planned_multiplier == (1.2, 1.4, 1.9)
    assert made.fitted[0].verdict == "leave for retrofit"
    assert made.fitted[0].name == "Work probe"
    other = told(Fitted(date=day, option="nobodys", cents=cents)).fitted[0]
    assert (other.name, other.verdict, other.multiplier) == ("nobodys", "", None)
    assert (made.fitted[0].downtime_days, made.fitted[0].planned_downtime_days) == (2.0, 1.0)


def test_the_mean_ratio_says_how_far_the_guesses_were_off() -> None:
    day = plan().order
    facts = (
        Fitted(date=day, option="work-probe", cents=round(6_200 * 2.8 * 100)),  # 2.0 of 1.4
        Fitted(date=day, option="tool-setter", cents=round(4_100 * 1.5 * 100)),  # 1.0 of 1.5
    )
    assert told(*facts).mean_ratio == pytest.approx(1.5)
    assert told().mean_ratio is None


def test_a_retrofit_eased_by_what_was_ordered_is_held_against_the_eased_multiplier() -> None:
    by_id = {option.option: option for option in plan().options}
    assert by_id["robot-cell"].multiplier == (1.0, 1.0, 1.1)
    assert by_id["robot-cell"].ordered is False


def test_work_is_counted_in_years_after_first_chips() -> None:
    made = told(Arrived(date=date(2028, 9, 5), stream="night", margin=40_000.0))
    work = {one.stream: one for one in made.work}
    assert work["night"].arrived == pytest.approx(1.0, abs=0.003)
    assert work["night"].margin == 40_000.0
    assert work["shafts"].arrived is None
    assert made.arrived == 1
    # two of two to five years, likeliest two: a quarter of the arrivals by then, times the chance
    assert work["shafts"].expected == pytest.approx(0.8 * 0.25, abs=0.002)


def test_the_share_that_has_come_is_the_triangular_distribution() -> None:
    stream = PlannedStream(
        stream="s", name="s", chance=1.0, years=(1.0, 2.0, 5.0), margin=(1.0, 1.0, 1.0)
    )
    assert [share_by(stream, years) for years in (0.0, 1.0, 2.0, 3.0, 5.0, 9.0)] == pytest.approx(
        [0.0, 0.0, 0.25, 1 - 4 / 12, 1.0, 1.0]
    )
    certain = stream.model_copy(update={"years": (2.0, 2.0, 2.0)})
    assert [share_by(certain, years) for years in (1.9, 2.0)] == [0.0, 1.0]


def test_facts_after_the_day_are_passed_over() -> None:
    made = told(Arrived(date=date(2028, 9, 5), stream="night"), day=date(2028, 1, 1))
    assert made.arrived == 0
