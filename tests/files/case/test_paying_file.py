"""Reading paying.toml: what it may say, and what it says when something is wrong."""

import shutil
from datetime import date
from pathlib import Path

import pytest

from optioneer.errors import CaseError
from optioneer.files.case.read import read_case
from optioneer.files.case.write import write_case
from optioneer.model.paying import LeasePlan, LoanPlan, Paying, StagedPlan

DEMO = Path(__file__).parents[3] / "catalogs_demo" / "small-mill"
LOAN = """
[[plan]]
id = "bank"
kind = "loan"
rate = 0.07
months = 60
"""


FULL = """
use = "bank"  # what the advice counts on
[account]
opening = 180000.00
keep_above = 40000.00
[[account.regular]]
name = "rest of the business"
monthly = 9000.00
day = 28
from = 2027-05-01
[calendar]
country = "US"
subdivision = "OH"
convention = "modified-following"
[sales_tax]
rate = 0.20
due = "delivery"
reclaimed_after_days = 60
[income_tax]
rate = 0.25
depreciation = "macrs-7"
first_year_share = 0.0
pays = ["04-15", "06-15", "09-15", "01-15 next year"]
[[plan]]
id = "staged"
kind = "staged"
stages = [ { share = 0.10, when = "order" }, { share = 0.90, when = "order + 90 days" } ]
[[plan]]
id = "bank"
kind = "loan"
deposit = 0.10
rate = 0.0725
months = 60
first_payment = 2030-01-15
steps = [ { after = 12, times = 1.5 } ]
early_payoff = { when = "first_chips + 24 months", fee = 0.01 }
[[plan]]
id = "lease"
kind = "lease"
deposit_when = "order"
monthly = 2150.0
months = 48
in_advance = 2
"""


def read(folder: Path, text: str) -> Paying:
    case = folder / "case"
    shutil.copytree(DEMO, case)
    (case / "paying.toml").write_text(text, encoding="utf-8")
    paying = read_case(case).paying
    assert paying is not None
    return paying


def said(folder: Path, text: str) -> list[str]:
    with pytest.raises(CaseError) as error:
        read(folder, text)
    return [str(fault) for fault in error.value.faults]


def test_a_full_file_reads_into_facts(tmp_path: Path) -> None:
    paying = read(tmp_path, FULL)
    assert paying.use == "bank"
    assert paying.account.regular[0].starts == date(2027, 5, 1)
    assert [type(plan) for plan in paying.plan] == [StagedPlan, LoanPlan, LeasePlan]
    bank = paying.plan[1]
    assert isinstance(bank, LoanPlan)
    assert str(bank.first_payment) == "2030-01-15"
    assert bank.early_payoff is not None
    assert str(bank.early_payoff.when) == "first_chips + 24 months"


def test_use_may_stand_after_the_last_plan(tmp_path: Path) -> None:
    assert read(tmp_path, LOAN + 'use = "bank"\n').use == "bank"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            (
                '[[plan]]\nid = "s"\nkind = "staged"\n'
                'stages = [ { share = 0.6, when = "order" }, { share = 0.5, when = "shipped" } ]\n'
            ),
            "paying.toml, plan 's', stages: the shares add up to 1.1. They must add up to 1.",
        ),
        (
            '[[plan]]\nid = "s"\nkind = "staged"\nstages = [ { share = 1.0, when = "shippd" } ]\n',
            "paying.toml, plan 's', stages, item 1, when: 'shippd' is no day of the purchase.",
        ),
        (
            LOAN.replace("60", "-60"),
            "paying.toml, plan 'bank', months: -60 is below 1. Write 1 or more.",
        ),
        (
            LOAN + 'first_payment = "delivery - 2 days"\n',
            "paying.toml, plan 'bank', first_payment: the first instalment on 2027-07-31 does",
        ),
        (LOAN + "payments = 60\n", "paying.toml, plan 'bank': 'payments' is not a known key."),
        (
            '[[plan]]\nid = "x"\nkind = "rent"\n',
            "paying.toml, plan 'x', kind: 'rent' is no kind of plan. Allowed: staged, loan, lease.",
        ),
        ("use = 'bank'\n", "paying.toml, use: there is no plan 'bank'. None is defined."),
        (
            "[calendar]\ncountry = 'US'\nsubdivision = 'OX'\n",
            "paying.toml, calendar, subdivision: no holidays are known of 'OX' in US.",
        ),
        (
            "[income_tax]\nrate = 0.25\ndepreciation = 'macrs-8'\n",
            "paying.toml, income_tax, depreciation: 'macrs-8' is no method of depreciation.",
        ),
        (
            "[income_tax]\nrate = 0.25\ndepreciation = 'macrs-7'\nfirst_year_share = 'bonus'\n",
            "paying.toml, income_tax, first_year_share: 'bonus' is not known for the tax year",
        ),
        (
            "[income_tax]\nrate = 0.25\ndepreciation = 'macrs-7'\nfirst_year_share = 40\n",
            "paying.toml, income_tax, first_year_share: 40 is no share of the first year. Write",
        ),
        (
            "[sales_tax]\nrate = 0.2\ndue = 'delivry'\n",
            "paying.toml, sales_tax, due: 'delivry' is no day of the purchase.",
        ),
        (
            "[income_tax]\nrate = 0.25\ndepreciation = 'macrs-7'\npays = ['13-01']\n",
            "paying.toml, income_tax, pays, item 1: '13-01' is no day of a year. Write month and",
        ),
        (
            "[account]\nopening = '180000'\n",
            "paying.toml, account, opening: '180000' is not a number.",
        ),
        (
            LOAN + "interest_only = 60\n",
            "paying.toml, plan 'bank', interest_only: 60 months of interest only do not fit into",
        ),
        (
            LOAN + "early_payoff = { when = 'order' }\n",
            "paying.toml, plan 'bank', early_payoff, when: 2027-05-03 is not between",
        ),
        (LOAN + LOAN, "paying.toml, plan 'bank', id: number 1 and number 2 share it."),
        (LOAN + "balloon = 20.000\n", "paying.toml, plan 'bank', balloon: 20.000 "),
        (LOAN.replace("0.07", "7.25"), "paying.toml, plan 'bank', rate: 7.25 is above 1."),
        (
            LOAN + "day_count = '30/365'\n",
            "paying.toml, plan 'bank', day_count: '30/365' is not known here.",
        ),
        (LOAN + "stages = 4\n", "paying.toml, plan 'bank', stages: 4 is not a list of tables."),
    ],
)
def test_nonsense_gets_one_clear_sentence(tmp_path: Path, text: str, sentence: str) -> None:
    sentences = said(tmp_path, text)
    assert len(sentences) == 1
    assert sentences[0].startswith(sentence)


def test_ways_of_paying_written_to_a_new_folder_read_back_the_same(tmp_path: Path) -> None:
    paying = read(tmp_path, FULL)
    case = read_case(tmp_path / "case")
    write_case(case, tmp_path / "copy")
    assert read_case(tmp_path / "copy").paying == paying


def test_a_changed_rate_changes_one_line_and_keeps_the_remarks(tmp_path: Path) -> None:
    paying = read(tmp_path, FULL)
    plans = [p.model_copy(update={"rate": 0.08}) if p.id == "bank" else p for p in paying.plan]
    changed = paying.model_copy(update={"plan": tuple(plans)})
    case = read_case(tmp_path / "case").model_copy(update={"paying": changed})
    write_case(case, tmp_path / "case")
    text = (tmp_path / "case" / "paying.toml").read_text(encoding="utf-8")
    assert text == FULL.replace("rate = 0.0725", "rate = 0.08")


def test_ways_of_paying_that_are_taken_away_are_gone_from_the_file(tmp_path: Path) -> None:
    read(tmp_path, FULL)
    case = read_case(tmp_path / "case").model_copy(update={"paying": None})
    write_case(case, tmp_path / "case")
    assert read_case(tmp_path / "case").paying is None


def test_a_case_without_ways_of_paying_gets_no_file(tmp_path: Path) -> None:
    write_case(read_case(DEMO).model_copy(update={"paying": None}), tmp_path / "copy")
    assert not (tmp_path / "copy" / "paying.toml").exists()
