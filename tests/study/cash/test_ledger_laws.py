"""What holds of every ledger, whatever the case and the package."""

from datetime import date
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as some

from optioneer.model.case import Case
from optioneer.model.machine import Dates, Package
from optioneer.study.cash.cash import cash
from optioneer.study.cash.dates import clock_of
from tests.paying_cases import ACCOUNT, BANK, BARE, LEASE, STAGED, case


@some.composite
def cases(draw: some.DrawFn) -> Case:
    shares = draw(some.lists(some.integers(1, 50), min_size=1, max_size=6))
    whens = some.sampled_from(
        ["order", "order + 5 weeks", "shipped - 3 days", "delivery", "accepted + 2 months"]
    )
    stages = tuple({"share": one / sum(shares), "when": draw(whens)} for one in shares)
    loan: dict[str, Any] = {
        **BANK,
        "deposit": draw(some.integers(0, 95)) / 100,
        "rate": draw(some.integers(0, 30)) / 100,
        "months": draw(some.integers(1, 84)),
        "fee": draw(some.integers(0, 5000)) / 1.0,
        "first_payment": "accepted + 4 months",
        "day_count": draw(
            some.sampled_from(["30/360", "30E/360", "act/365", "act/360", "act/act"])
        ),
        "repay": draw(some.sampled_from(["level", "equal-principal"])),
    }
    if draw(some.booleans()):
        loan["stages"] = stages
    lease = {
        **LEASE,
        "in_advance": draw(some.integers(0, 3)),
        "deposit": draw(some.integers(0, 40)) / 100,
    }
    dates = Dates(
        order=date(2026, 11, 1),
        build_weeks=draw(some.integers(1, 40)),
        ship_weeks=draw(some.integers(0, 9)),
        commission_days=draw(some.integers(0, 30)),
    )
    facts: dict[str, Any] = {"account": ACCOUNT, "calendar": {"country": "US", "subdivision": "OH"}}
    if draw(some.booleans()):
        facts["sales_tax"] = {"rate": 0.19, "due": "each payment", "reclaimed_after_days": 45}
    if draw(some.booleans()):
        facts["income_tax"] = {"rate": 0.3, "depreciation": "declining-8"}
    return case({**STAGED, "stages": stages}, loan, lease, dates=dates, **facts)


@given(cases(), some.sampled_from([(), ("sub-spindle",), ("auto-door", "oil-skimmer")]))
@settings(max_examples=30, deadline=None)
def test_laws_of_every_ledger(one: Case, options: tuple[str, ...]) -> None:
    clock = clock_of(one)
    for made in cash(one, Package(id="x", options=options)).ledgers:
        answer = made.answer
        contract = sum(entry.cents for entry in answer.entries if entry.kind == "contract")
        assert contract == -answer.contract_cents
        lent = sum(entry.cents for entry in answer.entries if entry.kind == "drawdown")
        repaid = sum(entry.cents for entry in answer.entries if entry.kind == "principal")
        assert answer.kind == "lease" or lent == -repaid
        net = sum(entry.cents for entry in answer.entries)
        assert answer.entries[-1].balance_cents == 180_000_00 + net
        assert all(clock.business.is_open(entry.date) for entry in answer.entries)
        assert all(entry.cents for entry in answer.entries)
        assert not any("several" in note for note in made.notes)
        assert answer.lowest.cents <= min(entry.balance_cents for entry in answer.entries)
        assert [e.date for e in answer.entries] == sorted(e.date for e in answer.entries)


@given(cases())
@settings(max_examples=10, deadline=None)
def test_the_order_of_entries_is_stable(one: Case) -> None:
    assert cash(one, BARE).answer == cash(one, BARE).answer
