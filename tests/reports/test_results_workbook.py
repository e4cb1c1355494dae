"""The results in a workbook, calculated again by an office program; it saves a case, too."""

import re
import subprocess
from collections.abc import Mapping
from functools import cache
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook

from optioneer.files.case.read import read_case
from optioneer.files.workbook.reading import workbook_case
from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.model.machine import Package
from optioneer.reports.sheets.entry import entry_workbook
from optioneer.reports.sheets.results import Results, results_workbook
from optioneer.study.account.cover import asked_lender
from optioneer.study.advice.package_choice import named_package, weighed_package
from optioneer.study.advice.verdicts import advice_on
from optioneer.study.cash.cash import cash
from optioneer.study.cash.price import quote_lines
from optioneer.study.papers.likeliest_account import LikeliestAccount, likeliest_account
from optioneer.study.problem.futures import with_draws
from optioneer.study.ready.first_chips import with_first_chips
from optioneer.study.worth.valued_case import Valued, valued_case
from tests.files.workbook.workbooks import members, zipped
from tests.patience import PATIENCE
from tests.programs import needed

DEMOS = Path(__file__).parent.parent.parent / "catalogs_demo"
HOSTILE = '=HYPERLINK("http://a.invalid","x")'


@cache
def small_mill() -> tuple[Package, Valued]:
    case = with_first_chips(with_draws(read_case(DEMOS / "small-mill"), 256, 7))
    option = case.catalogue.options[0].model_copy(update={"name": HOSTILE})
    catalogue = case.catalogue.model_copy(update={"options": (option, *case.catalogue.options[1:])})
    return weighed_package(case.model_copy(update={"catalogue": catalogue}))


@cache
def results() -> Results:
    ordered, found = small_mill()
    return Results(
        case=found.case,
        advice=advice_on(found),
        lines=quote_lines(found.case, ordered),
        account=likeliest_account(found, ordered),
        cash=cash(found.case, ordered),
        version="0",
        bank=asked_lender(found, ordered, "bank")[1],
    )


@cache
def book() -> bytes:
    return results_workbook(results())


def formulas(data: bytes) -> dict[tuple[str, str], str]:
    """Every formula by sheet and cell."""
    loaded: Workbook = load_workbook(BytesIO(data))
    return {
        (sheet.title, cell.coordinate): str(cell.value)
        for sheet in loaded
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    }


def values(data: bytes) -> dict[tuple[str, str], object]:
    loaded = load_workbook(BytesIO(data), data_only=True, read_only=True)
    return {
        (sheet.title, cell.coordinate): cell.value
        for sheet in loaded
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }


def without_values(data: bytes) -> bytes:
    """The same workbook with formulas whose values are not kept."""
    stripped = {
        name: re.sub(rb"(</f>)<v>[^<]*</v>", rb"\1", content)
        for name, content in members(data).items()
    }
    return zipped(stripped)


@pytest.fixture(scope="module")
def saved_again(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, bytes]:
    """Workbooks as the office program saves them; nearly all of its time it takes to start."""
    program, place = needed("soffice"), tmp_path_factory.mktemp("office")
    books = {"bare.xlsx": without_values(book()), "case.xlsx": entry_workbook(mill_turn())}
    for name, data in books.items():
        (place / name).write_bytes(data)
    profile = f"-env:UserInstallation=file://{place / 'profile'}"
    target = ["--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(place / "out")]
    command = [program, "--headless", profile, *target, *(str(place / name) for name in books)]
    subprocess.run(command, check=True, capture_output=True, timeout=PATIENCE)
    return {name: (place / "out" / name).read_bytes() for name in books}


@cache
def mill_turn() -> Case:
    return read_case(DEMOS / "mill-turn")


def test_a_case_in_a_workbook_saved_by_another_program_is_the_same(
    saved_again: Mapping[str, bytes],
) -> None:
    data = saved_again["case.xlsx"]
    assert b"LibreOffice" in b"".join(members(data).values())
    assert workbook_case(data, name="mill-turn").case == mill_turn()


def test_every_formula_comes_to_our_figure_when_calculated_again(
    saved_again: Mapping[str, bytes],
) -> None:
    assert not values(without_values(book())).keys() & formulas(book()).keys()
    again, ours = values(saved_again["bare.xlsx"]), values(book())
    assert len(formulas(book())) > 200
    for place, text in formulas(book()).items():
        assert again[place] == pytest.approx(ours[place], rel=1e-9, abs=1e-6), (place, text)


def test_the_cover_on_the_sheet_for_the_bank_is_that_of_the_page() -> None:
    ours, answer = values(book()), results().bank
    assert answer is not None
    covers = [
        value for (sheet, cell), value in ours.items()
        if sheet == "bank" and re.fullmatch(r"H\d+", cell) and isinstance(value, float)
    ]  # fmt: skip
    wanted = [year.p50 for year in answer.years if year.p50 is not None]
    assert covers == pytest.approx([*wanted, min(wanted)])


def test_every_figure_is_a_number_that_can_be_counted_with() -> None:
    ours = values(book())
    columns = {"packages": "BCD", "budgets": "AB", "likeliest": "B", "options": "CE"}
    for (sheet, cell), value in ours.items():
        if cell[0] in columns.get(sheet, "") and int(cell[1:]) > 4 and len(cell) < 4:
            assert isinstance(value, int | float) or "year" in str(value), (sheet, cell, value)


def test_the_likeliest_future_adds_up_to_the_cent() -> None:
    ours = values(book())
    rows = {str(value): place for place, value in ours.items() if place[0] == "likeliest"}
    _, cell = rows["net present cost in the likeliest future"]
    assert ours["likeliest", cell.replace("A", "B")] == pytest.approx(
        added_up(results().account), abs=0.005
    )


def added_up(account: LikeliestAccount) -> float:
    """The NPC of an account, written out term by term as the formulas are."""
    clock = account.timeline
    total = account.order_factor * (account.base_price + account.beyond) + account.site
    total -= float(clock.at_start[-1]) * (account.base_resale + account.resale)
    for t in range(clock.periods):
        lost = sum(
            work.margin * (1 + work.growth) ** float(clock.years[t]) * (1 - work.earned[t])
            for work in account.work
            if work.arrival <= t < work.end
        )
        total += float(clock.during[t]) * clock.dt * (account.upkeep[t] + lost)
    factors = account.retrofit_factors
    for one in account.fittings:
        paid = one.price * one.multiplier * float(clock.price_level[one.period])
        paid *= factors[one.period]
        paid += one.downtime_days * account.margin_per_day
        total += float(clock.at_start[one.period]) * paid
    for visit in account.visits:
        level = float(clock.at_start[visit.period] * clock.price_level[visit.period])
        total += visit.charge * factors[visit.period] * level
    return total


PACKAGES = ("base", "advised", *(one.id for one in read_case(DEMOS / "small-mill").packages))


@pytest.mark.parametrize("package", PACKAGES)
def test_the_account_of_any_package_is_what_the_valuation_says(package: str) -> None:
    advised, found = small_mill()
    ordered = advised if package == "advised" else named_package(found.case, package)
    account = likeliest_account(found, ordered)
    assert added_up(account) == pytest.approx(account.npc, abs=0.005)


def test_what_is_certain_costs_what_the_advice_says_it_costs() -> None:
    found = valued_case(certain(small_mill()[1].case))
    ordered = named_package(found.case, "base")
    told = advice_on(found)
    base = next(one for one in told.packages if one.id == "base")
    assert likeliest_account(found, ordered).npc == pytest.approx(base.hindsight, abs=0.005)


def certain(case: Case) -> Case:
    """The case with one future and no want of hours: everything comes, as it most likely does."""

    def sure(doubtful: Triangular) -> Triangular:
        return Triangular(low=doubtful.likely, likely=doubtful.likely, high=doubtful.likely)

    def likeliest(years: float | Triangular | None) -> float | None:
        return years.likely if isinstance(years, Triangular) else years

    streams = tuple(
        one.model_copy(
            update={
                "chance": 1.0,
                "years": sure(one.years),
                "margin": sure(one.margin),
                "lasts_years": likeliest(one.lasts_years),
                "swing": 0.0,
                "drivers": {},
            }
        )
        for one in case.growth.stream
    )
    options = tuple(
        one.model_copy(
            update={
                "multiplier": one.multiplier and sure(one.multiplier),
                "eased": one.eased and sure(one.eased),
            }
        )
        for one in case.catalogue.options
    )
    growth = case.growth.model_copy(update={"stream": streams, "futures": 16})
    catalogue = case.catalogue.model_copy(update={"options": options})
    kept = likeliest(case.machine.kept_years)
    machine = case.machine.model_copy(update={"kept_years": kept})
    return case.model_copy(
        update={"growth": growth, "catalogue": catalogue, "machine": machine, "hours": None}
    )


def test_text_that_a_spreadsheet_would_run_stays_text() -> None:
    assert HOSTILE in values(book()).values()
    assert not any("HYPERLINK" in text for text in formulas(book()).values())
    assert not any(b"<hyperlink" in content for content in members(book()).values())


def test_sheets_have_frozen_headings_print_areas_and_charts_with_a_text() -> None:
    loaded = load_workbook(BytesIO(book()))
    for sheet in loaded:
        assert sheet.freeze_panes == "B5"
        assert sheet.print_area
    drawings = [content for name, content in members(book()).items() if "drawings/drawing" in name]
    told = results().cash
    assert told is not None
    assert len(drawings) == 1 + len(told.ledgers)
    assert all(re.search(rb'descr="[^"]{40,}"', content) for content in drawings)


def test_the_same_results_give_the_same_bytes() -> None:
    assert results_workbook(results()) == book()
