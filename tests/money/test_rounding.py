"""Half a cent goes one way everywhere: the decimal that is written is rounded, away from zero."""

from datetime import date
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as some

from optioneer.dates import plus_months
from optioneer.money.cents import rounded, share_in_cents, split
from optioneer.money.loan import LoanTerms, schedule
from optioneer.study.cash.cash import cash
from tests.paying_cases import BARE, STAGED, case


def by_decimals(total: int, share: Decimal) -> int:
    return int((total * share).quantize(Decimal(1), rounding=ROUND_HALF_UP))


@given(some.integers(0, 10**10), some.integers(0, 10**6))
def test_a_share_of_some_cents_is_the_decimal_product_rounded(total: int, millionths: int) -> None:
    share = Decimal(millionths).scaleb(-6)
    assert share_in_cents(total, float(share)) == by_decimals(total, share)


@pytest.mark.parametrize("price", [998.00, 8_974.00, 32_902.00, 125_044.00])
def test_a_half_cent_of_tax_is_rounded_up_whatever_binary_fractions_say(price: float) -> None:
    """7.25 % of 998.00 is 72.355; times 0.0725 in binary it is a hair less."""
    cents = round(price * 100)
    assert share_in_cents(cents, 0.0725) == by_decimals(cents, Decimal("0.0725"))
    assert share_in_cents(cents, 0.0725) == (cents * 725 + 5000) // 10_000


def test_stages_and_sales_tax_round_alike() -> None:
    odd = {**STAGED, "stages": tuple({"share": s, "when": "order"} for s in (0.0725, 0.9275))}
    tax = {"rate": 0.0725, "due": "order"}
    asked = case(odd, sales_tax=tax)
    asked = asked.model_copy(
        update={"machine": asked.machine.model_copy(update={"base_price": 32_902.00})}
    )
    (only,) = cash(asked, BARE).ledgers
    paid = {kind: [e.cents for e in only.entries if e.kind == kind] for kind in ("contract",)}
    taxed = [e.cents for e in only.entries if e.kind == "sales-tax"]
    assert taxed == [-2_385_40]  # 2,385.395
    assert -2_385_40 in paid["contract"]


@given(some.integers(1, 10**7), some.integers(2, 60))
def test_instalments_without_interest_are_the_decimal_quotient_rounded(half: int, due: int) -> None:
    borrowed = due * half + due // 2  # with an even number of instalments half a cent is left
    first = date(2027, 2, 1)
    days = tuple(plus_months(first, k) for k in range(due))
    rows = schedule(LoanTerms(rate=0.0, draws=((date(2027, 1, 4), borrowed),), due=days))
    assert rows[1].paid == (2 * borrowed + due) // (2 * due)


def test_halves_go_away_from_zero_and_what_only_looks_like_one_is_one() -> None:
    assert [rounded(x) for x in (0.5, -0.5, 2.5, 129.49999999999997, 129.499)] == [
        1, -1, 3, 130, 129,
    ]  # fmt: skip


@given(some.integers(0, 10**9), some.lists(some.floats(0, 1), min_size=1, max_size=6))
def test_parts_add_up(total: int, shares: list[float]) -> None:
    assert sum(split(total, shares)) == total
