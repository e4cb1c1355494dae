"""Which tax year's law holds, for which order, and in which quarter."""

from datetime import date
from typing import Any

import pytest

from optioneer.errors import CaseError
from optioneer.model.checks.payments import paying_faults
from optioneer.model.paying import IncomeTax
from optioneer.money.ledger import Entry
from optioneer.study.cash.cash import cash
from optioneer.study.cash.dates import Delay
from tests.paying_cases import BARE, DATES, LEASE, STAGED, case

PRICE = 312_000_00
TAX = {"rate": 0.25, "depreciation": "macrs-7"}


def saved(*, build_weeks: float = 20, order: date = date(2027, 2, 1), **tax: Any) -> list[Entry]:
    dates = DATES.model_copy(update={"order": order, "build_weeks": build_weeks})
    (only,) = cash(case(STAGED, dates=dates, income_tax={**TAX, **tax}), BARE).ledgers
    return [entry for entry in only.entries if entry.kind == "income-tax"]


def test_the_bonus_rate_is_that_of_the_day_of_the_binding_order() -> None:
    """26 U.S.C. 168(k)(6): 40 % in 2025, 100 % if acquired after 19 January 2025."""
    early = saved(order=date(2025, 1, 10), first_year_share="bonus")
    assert early[0].cents == round((0.4 + 0.6 * 0.1429) * PRICE * 0.25)
    later = saved(order=date(2025, 1, 20), first_year_share="bonus")
    assert later[0].cents == PRICE // 4
    told = saved(order=date(2025, 1, 20), first_year_share="bonus", acquired=date(2025, 1, 19))
    assert told[0].cents == early[0].cents


@pytest.mark.parametrize(
    ("build_weeks", "year_1"), [(0, 25.00), (10, 17.85), (20, 10.71), (40, 3.57)]
)
def test_other_property_of_the_last_quarter_brings_the_tables_of_each_quarter(
    build_weeks: float, year_1: float
) -> None:
    """IRS Publication 946 (2025), tables A-2 to A-5, 7-year property, year 1."""
    told = saved(build_weeks=build_weeks, other_by_quarter=(0.0, 0.0, 0.0, 400_000.0))
    assert told[0].cents == round(year_1 / 100 * PRICE * 0.25)


def test_other_property_of_earlier_quarters_keeps_the_half_year_table() -> None:
    quarters = (300_000.0, 300_000.0, 0.0, 100_000.0)
    assert saved(other_by_quarter=quarters)[0].cents == round(0.1429 * PRICE * 0.25)
    assert IncomeTax(**TAX, other_property=5.0, other_by_quarter=quarters).placed_by_quarter == (
        300_005.0, 300_000.0, 0.0, 100_000.0,
    )  # fmt: skip


def test_three_quarters_are_refused() -> None:
    with pytest.raises(ValueError, match="holds 3 figures"):
        IncomeTax(**TAX, other_by_quarter=(1.0, 2.0, 3.0))


def test_a_lease_with_a_buyout_in_a_year_without_law_is_asked_about_by_check() -> None:
    dates = DATES.model_copy(update={"order": date(2026, 1, 5)})
    asked = case(LEASE, dates=dates, income_tax={**TAX, "first_year_share": "bonus"})
    (fault,) = paying_faults(asked)
    assert fault.where == "paying.toml, income_tax, first_year_share"
    assert "the tax year 2030, of the buyout of 'lease'" in fault.what
    without = case(
        {**LEASE, "buyout": 0.0}, dates=dates, income_tax={**TAX, "first_year_share": "bonus"}
    )
    assert not list(paying_faults(without))


def test_the_tax_year_asked_about_is_the_fiscal_one() -> None:
    """First chips in June 2026 fall into the tax year that begins in July 2025."""
    dates = DATES.model_copy(update={"order": date(2026, 1, 5)})
    july = {**TAX, "first_year_share": "section-179", "year_starts_month": 7}
    assert not list(paying_faults(case(STAGED, dates=dates, income_tax=july)))
    late = DATES.model_copy(update={"order": date(2026, 12, 28)})
    assert not list(paying_faults(case(STAGED, dates=late, income_tax=july)))
    (fault,) = paying_faults(case(STAGED, dates=late, income_tax={**july, "year_starts_month": 1}))
    assert "the tax year 2027" in fault.what


def test_a_delay_into_a_year_without_law_is_one_sentence() -> None:
    dates = DATES.model_copy(update={"order": date(2026, 6, 1), "build_weeks": 10.0})
    asked = case(STAGED, dates=dates, income_tax={**TAX, "first_year_share": "bonus"})
    assert not list(paying_faults(asked))
    with pytest.raises(CaseError, match="not known for the tax year 2027"):
        cash(asked, BARE, delay=Delay(machine_weeks=30))
