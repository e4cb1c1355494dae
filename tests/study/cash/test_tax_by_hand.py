"""Sales and income tax of every way of paying, by hand."""

from datetime import date

from optioneer.model.machine import Package
from optioneer.study.cash.cash import cash
from tests.paying_cases import BARE, DATES, LEASE, STAGED, case
from tests.study.cash.test_cash import PRICE, amounts, ledger


def test_sales_tax_goes_and_comes_back() -> None:
    tax = {"rate": 0.20, "due": "delivery", "reclaimed_after_days": 60}
    study = cash(case(STAGED, sales_tax=tax), BARE)
    assert amounts(ledger(study, "staged"), "sales-tax") == [
        (date(2027, 7, 12), -62_400_00),
        (date(2027, 9, 10), 62_400_00),
    ]


def test_sales_tax_with_each_payment_adds_up_to_the_tax_on_the_price() -> None:
    tax = {"rate": 0.0725, "due": "each payment"}
    study = cash(case(STAGED, sales_tax=tax), Package(id="x", options=("auto-door",)))
    paid = amounts(ledger(study, "staged"), "sales-tax")
    assert len(paid) == 4
    assert sum(cents for _, cents in paid) == -22_968_04  # 7.25 % of 316,800.50


def test_a_lease_bears_sales_tax_on_deposit_rents_and_buyout() -> None:
    study = cash(case(LEASE, sales_tax={"rate": 0.10}), BARE)
    paid = amounts(ledger(study, "lease"), "sales-tax")
    assert len(paid) == 1 + 48 + 1
    assert sum(cents for _, cents in paid) == -(1560_00 + 48 * 715_00 + 1500_00)


def test_income_tax_saved_by_a_machine_in_its_fourth_quarter_uses_mid_quarter_tables() -> None:
    dates = DATES.model_copy(update={"build_weeks": 40.0})
    tax = {"rate": 0.25, "depreciation": "macrs-7", "pays": ("12-31",)}
    saved = amounts(
        ledger(cash(case(STAGED, dates=dates, income_tax=tax), BARE), "staged"), "income-tax"
    )
    # IRS Publication 946, table A-5, 7-year property, first two years
    assert [cents for _, cents in saved[:2]] == [
        round(PRICE * 0.0357 * 0.25),
        round(PRICE * 0.2755 * 0.25),
    ]
    assert sum(cents for _, cents in saved) == PRICE // 4


def test_other_property_of_the_year_keeps_the_half_year_tables() -> None:
    dates = DATES.model_copy(update={"build_weeks": 40.0})
    tax = {"rate": 0.25, "depreciation": "macrs-7", "other_property": 500_000.0}
    saved = amounts(
        ledger(cash(case(STAGED, dates=dates, income_tax=tax), BARE), "staged"), "income-tax"
    )
    assert saved[0][1] == round(PRICE * 0.1429 * 0.25)


def test_the_first_year_share_comes_before_the_table() -> None:
    tax = {"rate": 0.25, "depreciation": "macrs-7", "first_year_share": 0.4}
    saved = amounts(ledger(cash(case(STAGED, income_tax=tax), BARE), "staged"), "income-tax")
    assert saved[0][1] == round((0.4 + 0.6 * 0.1429) * PRICE * 0.25)


def test_bonus_and_section_179_take_the_figures_of_the_year() -> None:
    dates = DATES.model_copy(update={"order": date(2026, 1, 5)})
    tax = {"rate": 0.25, "depreciation": "macrs-7", "first_year_share": "bonus"}
    for share, saved in (("bonus", 78_000_00), ("section-179", 78_000_00)):
        study = cash(case(STAGED, dates=dates, income_tax={**tax, "first_year_share": share}), BARE)
        assert amounts(ledger(study, "staged"), "income-tax")[0][1] == saved
    early = {**tax, "acquired": date(2025, 1, 19)}
    study = cash(case(STAGED, dates=dates, income_tax=early), BARE)
    first = round((0.2 + 0.8 * 0.1429) * PRICE * 0.25)
    assert amounts(ledger(study, "staged"), "income-tax")[0][1] == first


def test_pay_days_before_the_machine_is_in_service_save_nothing() -> None:
    tax = {
        "rate": 0.25,
        "depreciation": "straight-line-10",
        "pays": ("04-15", "06-15", "09-15", "01-15 next year"),
    }
    saved = amounts(ledger(cash(case(STAGED, income_tax=tax), BARE), "staged"), "income-tax")
    assert [day for day, _ in saved[:3]] == [
        date(2027, 9, 15),
        date(2028, 1, 17),  # 15 January is a Saturday
        date(2028, 4, 17),
    ]
    assert saved[0][1] + saved[1][1] == round(PRICE / 10 * 6 / 12 * 0.25)
