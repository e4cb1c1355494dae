"""Two decisions, or a fact and its plan, beside one another: what differs, what is unlikely."""

from datetime import UTC, date, datetime

import pytest

from optioneer.money.ledger import EntryKind
from optioneer.study.advice.answers import Advice
from optioneer.study.cash.answers import CashEntry
from optioneer.study.record.decide import plan_to_compare, used_ledger
from optioneer.study.record.differences import differences
from optioneer.study.record.facts import PaidFact, Planned, Sealed
from optioneer.study.record.unlikely import FAR_TOO_MUCH, unlikely
from tests import shop
from tests.paying_cases import BANK, BARE, STAGED, case

DAY = date(2027, 3, 1)


def sealed(
    held: tuple[str, ...], inputs: dict[str, str], *, advice: Advice | None = None
) -> Sealed:
    package = shop.package("advised", held, 1e5, 1e5)
    return Sealed(
        time=datetime(2027, 1, 1, tzinfo=UTC),
        version="1",
        case="demo",
        currency="USD",
        fingerprint="",
        inputs=inputs,
        package=package,
        advice=advice,
        planned=plan_to_compare(shop.case(), BARE, ()),
    )


ONE = sealed(("a", "b"), {"x.toml": "k = 1\nl = 2\nm = 3", "gone.csv": "q"}, advice=shop.advice())
OTHER = sealed(("b", "c", "d"), {"x.toml": "k = 1\nl = 4\nm = 3", "new.csv": "r\ns"})


def test_what_one_has_and_the_other_lacks_is_told_from_either_side() -> None:
    there, back = differences(ONE, OTHER), differences(OTHER, ONE)
    assert (there.added, there.dropped) == (("c", "d"), ("a",))
    assert (back.added, back.dropped) == (there.dropped, there.added)
    assert {(o, b, a) for o, a, b in there.verdicts} == set(back.verdicts)
    assert len(there.verdicts) == len(shop.advice().options)
    assert all(now == "not there" for _, _, now in there.verdicts)


def test_of_the_files_only_the_lines_that_differ_are_told() -> None:
    assert dict(differences(ONE, OTHER).files) == {
        "x.toml": ("-l = 2", "+l = 4"),
        "gone.csv": ("-q",),
        "new.csv": ("+r", "+s"),
    }


def test_a_decision_differs_in_nothing_from_itself() -> None:
    assert differences(ONE, ONE).none
    assert not differences(ONE, OTHER).none


def expecting(**cents: int) -> Planned:
    entries = tuple(
        CashEntry(date=DAY, cents=each, kind=kind, what="", payee="", balance_cents=0)
        for kind, each in cents.items()
    )
    plan = plan_to_compare(shop.case(), BARE, ())
    return plan.model_copy(update={"entries": entries})


def paid(kind: EntryKind, cents: int, day: date = DAY) -> PaidFact:
    return PaidFact(date=day, cents=cents, kind=kind)


@pytest.mark.parametrize(
    ("kind", "expected"), [("fee", 50_00), ("contract", 30_000_00), ("site", 30_000_00)]
)
def test_a_payment_is_held_against_what_is_planned_of_its_kind_else_of_the_largest(
    kind: EntryKind, expected: int
) -> None:
    plan = expecting(contract=-30_000_00, fee=-50_00)
    assert unlikely(paid(kind, -FAR_TOO_MUCH * expected + 1), plan) == ()
    (said,) = unlikely(paid(kind, -FAR_TOO_MUCH * expected), plan)
    assert f"100 times the expected {expected / 100:,.2f}" in said


def test_with_no_plan_at_all_a_payment_is_held_against_the_price_of_the_machine() -> None:
    plan = expecting()
    price = round(plan.base_price * 100)
    assert unlikely(paid("contract", -FAR_TOO_MUCH * price + 1), plan) == ()
    assert len(unlikely(paid("contract", -FAR_TOO_MUCH * price), plan)) == 1


def test_a_payment_before_the_order_is_unlikely_and_one_on_its_day_is_not() -> None:
    plan = expecting(contract=-30_000_00)
    assert unlikely(paid("contract", -1, plan.order), plan) == ()
    (said,) = unlikely(paid("contract", -1, date(2027, 1, 31)), plan)
    assert said == f"2027-01-31 is before the order of {plan.order}"


def test_money_goes_by_the_plan_in_use_else_by_the_cheapest() -> None:
    for use in (None, "staged", "bank"):
        asked = case(STAGED, BANK) if use is None else case(STAGED, BANK, use=use)
        ledger = used_ledger(asked, BARE)
        assert ledger is not None
        cheapest = min(("staged", "bank"), key=worth)
        assert ledger.answer.id == (use or cheapest)
    assert used_ledger(shop.case(), BARE) is None


def worth(name: str) -> float:
    """What a plan costs at the order, over the rate of the case [money]."""
    ledger = used_ledger(case(STAGED, BANK, use=name), BARE)
    assert ledger is not None
    return ledger.answer.true_cost.present_cost
