"""What is asked about a case that may be but is hardly meant; each row was taken in silence."""

from pathlib import Path

import pytest

from optioneer.errors import CaseError
from optioneer.files.case.read import reading
from optioneer.model.checks.doubts import doubts
from optioneer.model.checks.usual import USUAL
from optioneer.reports.advice.checked import check_page
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.money import Figures
from optioneer.study.ready.first_chips import CountedOn
from tests.cases_as_texts import MILL, changed, mill, read, with_cell

LINES = [
    ("growth.toml", r"^years = .*", "years = [2027, 2028, 2030]", "not calendar years"),
    ("growth.toml", r"^years = .*", "years = [9, 12, 20]", "before the horizon of 8 years"),
    ("growth.toml", r"^margin = .*", "margin = [6e6, 9e6, 15e6]", "a year, in whole money"),
    ("growth.toml", r"^margin = .*", "margin = [0, 0, 0]", "does this work earn nothing"),
    ("growth.toml", r"^margin = .*", "margin = [6, 9500, 15000]", "in another unit"),
    ("growth.toml", r"^chance = .*", "chance = 0.0", "does anybody expect it"),
    ("growth.toml", r"^fallback = .*", "fallback = 1.0", "all of it kept without any option"),
    ("growth.toml", r"^fallback = .*", "fallback = 0.4\ngrowth = 0.9", "fraction a year, 0.02"),
    ("growth.toml", r"^fallback = .*", "fallback = 0.4\nswing = 2.5", "ordinary ups and downs"),
    ("growth.toml", r"^fallback = .*", "fallback = 0.4\nlasts_years = 99.0", "not months"),
    ("growth.toml", r"^discount_rate = .*", "discount_rate = 0.9", "0.08 for 8 %"),
    ("growth.toml", r"^discount_rate = .*", "discount_rate = -0.4", "0.08 for 8 %"),
    ("growth.toml", r"^retrofit_inflation = .*", "retrofit_inflation = 0.8", "0.03 for 3 %"),
    ("growth.toml", r"^horizon_years = .*", "horizon_years = 60.0", "foresee work for so long"),
    ("growth.toml", r"^nudge = .*", "nudge = 9.0", "standard deviations, not per cent"),
    ("machine.toml", r"^order = .*", "order = 1990-01-01", "is the order placed then"),
    ("machine.toml", r"^order = .*", "order = 2099-01-01", "is the order placed then"),
    ("machine.toml", r"^ship_weeks = .*", "ship_weeks = 1\nfirst_chips = 2100-01-01", "so long"),
    ("machine.toml", r"^build_weeks = .*", "build_weeks = 400", "weeks, not days"),
    ("machine.toml", r"^ship_weeks = .*", "ship_weeks = 90", "weeks, not days"),
    ("machine.toml", r"^commission_days = .*", "commission_days = 3000", "days, not hours"),
    ("machine.toml", r"^margin_per_day = .*", "margin_per_day = 48000.0", "a day, not a year"),
    ("machine.toml", r"^default = .*", "default = 85000.0", "does one visit cost so much"),
    ("machine.toml", r"^resale_share = .*", "resale_share = 1.0", "keep nearly its price"),
    ("machine.toml", r"^discount = .*", "discount = 6000.0", "what is saved, not what is paid"),
    ("machine.toml", r'^currency = "EUR"', 'currency = "DEM"', "still money"),
    ("paying.toml", r"^rate = 0.058", "rate = 0.58", "0.058 for 5.8 %"),
    ("paying.toml", r"^months = 48", "months = 480", "months, not years or weeks"),
    ("paying.toml", r"^fee = 300.00", "fee = 30000.0", "in money, of a machine"),
    ("paying.toml", r"^deposit = 0.20", "deposit = 0.95", "who lends the rest"),
    ("paying.toml", r"^rate = 0.19", "rate = 0.95", "0.19 for 19 %"),
    ("paying.toml", r"^rate = 0.30", "rate = 0.95", "0.30 for 30 %"),
    ("paying.toml", r"^reclaimed_after_days = .*", "reclaimed_after_days = 3650", "days?"),
    ("paying.toml", r'"accepted \+ 2 weeks"', '"accepted + 600 weeks"', "paid on that day"),
    ("paying.toml", r"^keep_above = .*", "keep_above = 90000.0", "begin with less"),
    ("paying.toml", r"^monthly = .*", "monthly = 2300000.0", "a month, not a year"),
    ("site.toml", r"^hours_per_day = .*", "hours_per_day = 30.0", "spare together"),
    ("site.toml", r"^cost_per_hour = .*", "cost_per_hour = 9000.0", "an hour, not a day"),
    ("site.toml", r"^notice_days = .*", "notice_days = 900.0", "days ahead, not hours"),
    ("site.toml", r"^lead_days = .*", "lead_days = [10, 20, 2000]", "not weeks or hours"),
    ("site.toml", r"^price = 6900.00", "price = 6900000.0", "cost more than the machine"),
    ("site.toml", r"^mass_kg = .*", "mass_kg = 2.9", "not tonnes or grams"),
    ("site.toml", r"^length_m = .*", "length_m = 2200.0", "not millimetres or feet"),
    ("site.toml", r"^full_load_kva = .*", "full_load_kva = 13500.0", "kVA, not VA or W"),
]

CELLS = [
    ("rotary-table", {"multiplier_high": "12980"}, "times its price of 11,800: meant as money"),
    ("rotary-table", {"multiplier_likely": "280", "multiplier_high": "280"}, "meant as money"),
    ("rotary-table", {f"multiplier_{p}": "0" for p in ("low", "likely", "high")}, "meant as"),
    ("rotary-table", {"price": "1180000"}, "cost more than the machine"),
    ("rotary-table", {"price": "0"}, "does the dealer give it away"),
    ("rotary-table", {"later_price": "3000"}, "it would pay without any work"),
    ("rotary-table", {"downtime_days": "100000000"}, "days of standstill, not hours"),
    ("rotary-table", {"upkeep_per_year": "90000"}, "a year of it cost more"),
    ("rotary-table", {"resale_share": "1"}, "keep nearly its price"),
    ("rotary-table", {"kva": "1000"}, "kVA, not VA or W"),
    ("rotary-table", {"mass_kg": "110000"}, "kilograms, not grams"),
    ("chip-auger", {"delete_credit": "9000"}, "more given back than its list price"),
    ("rotary-table", {"name": "30-pocket tool magazine"}, "of the same name"),
]


@pytest.mark.parametrize(("file", "line", "other", "asked"), LINES)
def test_a_line_that_is_hardly_meant_is_asked_about(
    file: str, line: str, other: str, asked: str
) -> None:
    found = doubts(read(changed(mill(), file, line, other)).case)
    assert [one for one in map(str, found) if asked in one and one.startswith(file)], found


@pytest.mark.parametrize(("option", "cells", "asked"), CELLS)
def test_a_cell_that_is_hardly_meant_is_asked_about(
    option: str, cells: dict[str, str], asked: str
) -> None:
    found = doubts(read(with_cell(mill(), option, **cells)).case)
    assert [one for one in map(str, found) if asked in one and f"'{option}'" in one], found


def test_an_option_that_leaves_room_for_hardly_any_other_is_asked_about() -> None:
    case = read(mill()).case
    free = [
        one.option
        for one in case.catalogue.options
        if one.option != "tool-setter" and not one.standard and one.slot is None
    ]
    others = ";".join(free)
    texts = with_cell(mill(), "tool-setter", excludes=others)
    texts = {**texts, "growth.toml": texts["growth.toml"].split("[[stream]]")[0]}
    texts["machine.toml"] = texts["machine.toml"].split("[[bundle]]")[0]
    found = [str(one) for one in doubts(read(texts).case)]
    assert [one for one in found if "does it go with hardly any" in one], (free, found)


@pytest.mark.parametrize("demo", sorted(one.name for one in MILL.parent.iterdir() if one.is_dir()))
def test_nothing_is_asked_about_the_demos(demo: str) -> None:
    assert doubts(reading(MILL.parent / demo).case) == ()


def test_the_page_of_a_case_asks_and_a_command_is_not_kept_from_its_work() -> None:
    case = read(with_cell(mill(), "rotary-table", multiplier_high="12980")).case
    page = terminal_text(
        check_page(case, (), Figures("EUR", "en_US"), counted=CountedOn("stated")), width=200
    )
    assert "is that meant?" in page.lower()
    assert "12,980 times its price of 11,800: meant as money" in page
    assert "No faults." in page


def test_every_usual_figure_is_one_of_its_fact() -> None:
    for fact, rows in USUAL.items():
        for row in rows:
            assert row.key in fact.model_fields, (fact, row)
            assert row.low < row.high


IMPOSSIBLE = [
    ("machine.toml", r"^base_price = .*", "base_price = 0.0", "is no price of a machine"),
    ("machine.toml", r"^base_price = .*", "base_price = 100.0", "is used up by delete_credits"),
    ("machine.toml", r'^currency = "EUR"', 'currency = "XXX"', "is no money"),
    ("machine.toml", r'^currency = "EUR"', 'currency = "XAU"', "is no money"),
    ("machine.toml", r'^id = "bare"', 'id = "base"', "stands for the machine with nothing"),
    ("machine.toml", r'^id = "bare"', 'id = "all"', "stands for the dearest package"),
    ("machine.toml", r'^id = "bare"', 'id = "advised"', "stands for the package that is advised"),
    ("paying.toml", r"^fee = 300.00", "fee = 900000.0", "that are lent at least"),
    ("site.toml", r"^notice_days = .*", "notice_days = 1000000.0", "more than ten years"),
    ("site.toml", r"^lead_days = .*", "lead_days = [10, 20, 1e8]", "more than ten years"),
    ("machine.toml", r"^base_price = .*", "base_price = 1e12", "below 1,000,000,000,000"),
]


@pytest.mark.parametrize(("file", "line", "other", "said"), IMPOSSIBLE)
def test_what_is_impossible_is_a_fault(file: str, line: str, other: str, said: str) -> None:
    with pytest.raises(CaseError) as caught:
        read(changed(mill(), file, line, other))
    assert [one for one in caught.value.faults if said in str(one)], str(caught.value)


def test_a_folder_of_a_case_is_where_the_rows_above_come_from() -> None:
    assert isinstance(MILL, Path)
    assert read(mill()).case.machine.currency == "EUR"
