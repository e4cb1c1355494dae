"""Pages, tables and chart rows of the money."""

from datetime import date

import pytest

from optioneer.charts.cash import cash_chart
from optioneer.money.ledger import Entry, balances, by_day, daily_balances, lowest, totals
from optioneer.reports.cash.page import cash_page
from optioneer.reports.cash.rows import balance_rows, moved_rows
from optioneer.reports.faces.cash_csv import cash_csv, decimal_text, inert
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.money import Figures
from optioneer.study.cash.answers import DatedCost
from optioneer.study.cash.cash import cash
from tests.paying_cases import ACCOUNT, BANK, BARE, STAGED, case


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@sum", "\tx"])
def test_no_text_of_the_table_is_a_live_formula(text: str) -> None:
    assert inert(text) == f"'{text}"
    works = [DatedCost(date(2027, 6, 5), 100, text, text, text)]
    row = next(
        line
        for line in cash_csv(cash(case(STAGED), BARE, works=works)).splitlines()
        if ",site," in line
    )
    assert row.count("'") == 3


@pytest.mark.parametrize(
    ("cents", "text"),
    [(0, "0.00"), (-5, "-0.05"), (123456789012, "1234567890.12"), (-100, "-1.00")],
)
def test_cents_are_written_exactly(cents: int, text: str) -> None:
    assert decimal_text(cents) == text


def test_the_caution_about_tax_comes_with_tax() -> None:
    figures = Figures("USD")
    plain = case(STAGED, account=ACCOUNT)
    taxed = case(STAGED, account=ACCOUNT, income_tax={"rate": 0.2, "depreciation": "macrs-7"})
    pages = [terminal_text(cash_page(c, cash(c, BARE), figures)) for c in (plain, taxed)]
    assert ["Ask your accountant" in page for page in pages] == [False, True]


def test_the_page_says_at_which_rate_ways_of_paying_change_places() -> None:
    given = case(STAGED, BANK, account=ACCOUNT)
    study = cash(given, BARE)
    page = " ".join(terminal_text(cash_page(given, study, Figures("USD")), width=200).split())
    assert study.answer.flips
    for flip in study.answer.flips:
        pair = f"'{flip.first}' and '{flip.second}' cost the same."
        never = f"'{flip.first}' is cheaper than '{flip.second}' at every rate."
        assert (never if flip.at is None else pair) in page


def test_bars_of_a_chart_are_what_the_shop_itself_pays() -> None:
    study = cash(case(STAGED, BANK, account=ACCOUNT), BARE)
    rows = moved_rows(study.ledgers, "USD")
    for ledger in study.ledgers:
        paid = sum(float(row["amount"]) for row in rows if row["plan"] == ledger.answer.id)
        assert paid == pytest.approx(ledger.answer.true_cost.total_paid_cents / 100)
    own = [row["amount"] for row in rows if (row["plan"], row["kind"]) == ("bank", "contract")]
    assert own == [31_200.0]  # the deposit; what the bank pays the dealer moves no money here


def test_the_line_of_a_chart_ends_with_the_last_contracted_month() -> None:
    study = cash(case(STAGED, account=ACCOUNT), BARE)
    rows = balance_rows(study.ledgers, "USD")
    assert rows[-1]["day"] == "2027-08-17"
    assert rows[-1]["balance"] == study.answer.plans[0].entries[-1].balance_cents / 100


def test_a_chart_is_a_panel_a_plan_with_bars_rule_and_line() -> None:
    study = cash(case(STAGED, BANK, account=ACCOUNT), BARE)
    chart = cash_chart(
        moved_rows(study.ledgers, "USD"),
        balance_rows(study.ledgers, "USD"),
        currency="USD",
        keep_above=40_000,
    ).to_dict()
    assert [panel["title"] for panel in chart["vconcat"]] == ["staged", "bank"]
    bars, account = chart["vconcat"][0]["layer"]
    assert bars["mark"]["type"] == "bar"
    assert [layer["mark"]["type"] for layer in account["layer"]] == ["rule", "line"]


def entry(day: int, cents: int, kind: str = "regular") -> Entry:
    return Entry(date(2027, 1, day), cents, kind, "x", "y")  # type: ignore[arg-type] # a kind


def test_receipts_of_a_day_come_before_its_payments() -> None:
    entries = by_day([entry(5, -100), entry(5, 300), entry(2, -50)])
    assert balances(entries, 0) == (-50, 250, 150)


def test_the_lowest_day_is_the_first_of_equals() -> None:
    entries = by_day([entry(2, -50), entry(4, 50), entry(6, -50)])
    daily = daily_balances(entries, 100, (date(2027, 1, 1), date(2027, 1, 7)))
    assert [balance for _, balance in daily] == [100, 50, 50, 100, 100, 50, 50]
    assert lowest(daily) == (date(2027, 1, 2), 50)


def test_totals_by_month_and_quarter() -> None:
    entries = [entry(5, -100), entry(6, 30), entry(7, -5, "fee")]
    assert totals(entries, "month") == {"2027-01": {"regular": -70, "fee": -5}}
    assert totals(entries, "quarter") == {"2027-Q1": {"regular": -70, "fee": -5}}
