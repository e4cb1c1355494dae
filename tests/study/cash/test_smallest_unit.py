"""Amounts in the smallest unit of the currency: yen have none smaller, dinars have three places.

Minor units: ISO 4217:2015, list one (2 for USD, 0 for JPY, 3 for KWD).
"""

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.money.cents import amount_of, places, to_cents
from optioneer.reports.page.money import Figures
from optioneer.study.answer import Answer
from optioneer.study.cash.cash import cash
from optioneer.study.ready.ready import readiness
from optioneer.study.worth.packages import asked_package

DEMOS = Path(__file__).parents[3] / "catalogs_demo"
PLACES = {"USD": 2, "JPY": 0, "KWD": 3}


def in_words_only(currency: str) -> Case:
    """A demo whose figures are said to be of another currency, none of them converted."""
    case = read_case(DEMOS / "mill-turn")
    machine = case.machine.model_copy(update={"currency": currency})
    return case.model_copy(update={"machine": machine})


@cache
def answers(currency: str) -> tuple[Answer, ...]:
    case = in_words_only(currency)
    package = asked_package(case, ["automatic-door"], [])
    return (cash(case, package).answer, readiness(case, package))


def cents(value: Any, name: str = "") -> Iterator[tuple[str, int]]:
    """Every amount in cents of an answer, in order."""
    if isinstance(value, Answer):
        for field in type(value).model_fields:
            yield from cents(getattr(value, field), field)
    elif isinstance(value, tuple):
        for one in value:
            yield from cents(one, name)
    elif isinstance(value, int) and name.endswith("cents"):
        yield name, value


@pytest.mark.parametrize("currency", PLACES)
def test_cents_are_the_smallest_unit(currency: str) -> None:
    assert places(currency) == PLACES[currency]
    assert amount_of(to_cents(1234.0, currency), currency) == 1234.0


@pytest.mark.parametrize("currency", ["JPY", "KWD"])
def test_every_amount_is_kept_in_the_smallest_unit(currency: str) -> None:
    dollars = [one for answer in answers("USD") for one in cents(answer)]
    others = [one for answer in answers(currency) for one in cents(answer)]
    assert [name for name, _ in dollars] == [name for name, _ in others]
    assert len(others) > 200
    most = len(others)  # roundings to whole yen add up in balances
    for (name, here), (_, there) in zip(others, dollars, strict=True):
        assert amount_of(here, currency) == pytest.approx(amount_of(there, "USD"), abs=most), name


def test_a_plan_in_yen_adds_up_in_whole_yen() -> None:
    cash, _ = answers("JPY")
    for plan in cash.plans:  # type: ignore[attr-defined]  # an answer on the money
        paid = [entry.cents for entry in plan.entries if entry.kind in {"contract", "drawdown"}]
        bridged = sum(e.cents for e in plan.entries if e.what.startswith("bridge for"))
        lent = sum(one for one in paid if one > 0) - bridged
        assert -sum(one for one in paid if one < 0) == plan.contract_cents
        assert lent <= plan.contract_cents


def test_amounts_are_said_with_the_places_of_their_currency() -> None:
    said = {currency: Figures(currency).cash(to_cents(1234.5, currency)) for currency in PLACES}
    assert said["USD"].endswith("1,234.50")
    assert said["JPY"].endswith("1,235")
    assert said["KWD"].endswith("1,234.500")
