"""Currencies: rates as they are asked for, and cases put into another currency."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from optioneer.errors import RequestError
from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.model.fact import LARGEST_AMOUNT, MONEY
from optioneer.model.paying import IncomeTax, Paying
from optioneer.study.compare.currencies import Exchange, asked_exchange, in_currency, rates_for
from tests.oracle import cases

DAY = date(2026, 11, 20)
DEMOS = Path(__file__).parents[3] / "catalogs_demo"


def facts_of(kind: Any, seen: set[type[BaseModel]]) -> Iterator[type[BaseModel]]:
    """All models that a case is made of."""
    if isinstance(kind, type) and issubclass(kind, BaseModel) and kind not in seen:
        seen.add(kind)
        yield kind
        for field in kind.model_fields.values():
            yield from facts_of(field.annotation, seen)
    for each in get_args(kind):
        yield from facts_of(each, seen)


def test_every_amount_of_a_case_says_that_it_is_money() -> None:
    amounts = {
        (kind.__name__, name): MONEY in (field.description or "")
        for kind in facts_of(Case, set())
        for name, field in kind.model_fields.items()
        if any(getattr(limit, "lt", None) == LARGEST_AMOUNT for limit in field.metadata)
    }
    plain = {key for key, told in amounts.items() if not told}
    # Multipliers and years are triangular too: the field that holds one says what it is.
    assert plain == {("Triangular", "low"), ("Triangular", "likely"), ("Triangular", "high")}
    assert len(amounts) > 10


@pytest.mark.parametrize("name", ["mill-turn", "small-mill"])
def test_a_demo_there_and_back_is_the_same(name: str) -> None:
    case = read_case(DEMOS / name)
    there = in_currency(case, "JPY", 128.0)  # a power of two: exact in floating point
    assert there.machine.currency == "JPY"
    assert in_currency(there, case.machine.currency, 1 / 128.0) == case


def test_money_is_converted_and_nothing_else() -> None:
    case = cases.prepared()
    there = in_currency(case, "EUR", 0.5)
    option, before = there.catalogue.options[0], case.catalogue.options[0]
    assert (option.price, option.multiplier) == (before.price / 2, before.multiplier)
    stream, work = there.growth.stream[0], case.growth.stream[0]
    assert (stream.margin.likely, stream.years) == (work.margin.likely / 2, work.years)
    assert there.machine.base_price == 50e3
    assert there.growth.discount_rate == case.growth.discount_rate


def test_amounts_of_several_quarters_are_each_converted() -> None:
    tax = IncomeTax(rate=0.2, depreciation="macrs-7", other_by_quarter=(0.0, 100.0, 0.0, 40.0))
    case = cases.prepared().model_copy(update={"paying": Paying(income_tax=tax)})
    there = in_currency(case, "EUR", 0.5).paying
    assert there is not None
    assert there.income_tax is not None
    assert there.income_tax.other_by_quarter == (0.0, 50.0, 0.0, 20.0)


def test_an_amount_that_gets_too_large_is_told_in_one_sentence() -> None:
    with pytest.raises(RequestError, match=r"hand-made: at 1e\+09 JPY for one USD, base_price"):
        in_currency(cases.prepared(), "JPY", 1e9)


def test_one_missing_rate_is_one_clear_sentence() -> None:
    with pytest.raises(RequestError) as told:
        rates_for(["USD", "EUR", "CHF"], Exchange(None, {"EUR": 1.08}, DAY))
    assert str(told.value) == (
        "There is no rate for CHF. Say what one unit is worth in USD: --rate CHF=... "
        "--rate-date DAY."
    )


def test_the_first_case_sets_the_currency_unless_another_is_asked_for() -> None:
    assert rates_for(["USD", "USD"], Exchange()) == ("USD", {"USD": 1.0}, None)
    asked = asked_exchange(["usd=0.92"], day="2026-11-20", currency="eur")
    assert rates_for(["USD", "EUR"], asked) == ("EUR", {"EUR": 1.0, "USD": 0.92}, DAY)


@pytest.mark.parametrize(
    ("exchange", "said"),
    [
        (Exchange(None, {"EUR": 1.08}), "--rate-date: is missing"),
        (Exchange(None, {"EUR": 1.08, "USD": 2.0}, DAY), "USD=2, but everything is told in USD"),
        (Exchange(None, {"EUR": 1.08, "CHF": 2.0}, DAY), "no case is in CHF"),
    ],
)
def test_rates_that_do_not_fit_are_refused(exchange: Exchange, said: str) -> None:
    with pytest.raises(RequestError, match=said):
        rates_for(["USD", "EUR"], exchange)


def test_a_day_without_rates_is_refused() -> None:
    with pytest.raises(RequestError, match="there is no rate that it could be of"):
        rates_for(["USD"], Exchange(day=DAY))


@pytest.mark.parametrize("text", ["EUR", "EUR=", "EUR=0", "EUR=-1", "EUR=inf", "EUR=a", "=1"])
def test_a_rate_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(RequestError, match="--rate: "):
        asked_exchange([text])


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"rates": ["XYZ=2"]}, "there is no currency 'XYZ'"),
        ({"rates": ["EUR=1", "eur=2"]}, "EUR is given twice"),
        ({"rates": [], "day": "20.11.2026"}, "'20.11.2026' is no day"),
        ({"rates": [], "currency": "dollars"}, "--currency: there is no currency 'dollars'"),
    ],
)
def test_what_is_asked_for_must_be_known(asked: dict[str, Any], said: str) -> None:
    with pytest.raises(RequestError, match=said):
        asked_exchange(**asked)
