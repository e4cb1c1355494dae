"""What the people of a small shop come for, from opening the app to what they take away."""

import csv
import io
import json
import re
from pathlib import Path

from typer.testing import CliRunner

from optioneer.app.engine.drafts import Draft, Store
from optioneer.cli import app
from optioneer.files.case.read import reading_of
from optioneer.files.case.texts import folder_texts
from optioneer.files.record.entries import read_record
from tests.app.visits import small_mill
from tests.browser import grids
from tests.browser.machinery import Server
from tests.browser.prompt import expect
from tests.browser.visits import PAGES, TITLES, Visit

BASE_PRICE, VALUE, MEANING = 2, 1, 2
"""Row of the base price on the sheet of the machine, and columns."""

AUTOMATION = "Customers order in lots worth loading"


def test_a_newcomer_opens_a_demo_reads_what_to_order_now_and_decides(
    visit: Visit, tmp_path: Path
) -> None:
    visit.open()
    visit.press("Open the small mill demo")
    visit.says("Order 3 options with the machine: €90,500 in all.")
    for glance in (".order", ".figures", ".strip", ".strip-key"):
        expect(visit.page.locator(f".lead {glance}")).to_be_in_viewport(ratio=1)
    probe = visit.page.locator(".verdicts details", has_text="Workpiece probe")
    expect(probe.locator("p")).not_to_be_visible()
    probe.locator("summary").click(delay=80)
    expect(probe.locator("p")).to_contain_text("if fitted later")
    decided(visit, tmp_path / "mill", "Enough for what we make")


def decided(visit: Visit, folder: Path, note: str) -> None:
    """Go on to the last page, save the case where it is in no folder yet, and decide."""
    visit.turn_to("decide").says("You decide on")
    path = visit.page.get_by_label("Folder for the case and its record")
    path.fill(str(folder))
    path.press("Tab")
    visit.press("Save there")
    why = visit.page.get_by_label("Why, in your own words")
    why.fill(note)
    why.press("Tab")
    expect(visit.page.get_by_role("button", name="Record the decision")).to_be_enabled()
    visit.settled().press("Record the decision")
    visit.says("The last decision against what is recorded").settled()
    (sealed,) = read_record(folder).decisions.values()
    assert sealed.note == note


def test_the_buyer_adds_a_package_compares_it_takes_the_request_and_decides_on_it(
    visit: Visit, draft: Draft, tmp_path: Path
) -> None:
    visit.open("buyer", draft.id)
    before = visit.metric("Price")
    assert before == "€90,500"
    grids.tick(visit.page, row_of("Automatic door"), 0)
    visit.shows("Price", "€96,400")
    grids.tick(visit.page, row_of("Small loader with ten pallets"), 0)
    visit.says("needs Loader interface").settled()
    visit.press("Cure it")
    visit.says("Net present cost").settled()
    grids.tick(visit.page, row_of("Small loader with ten pallets"), 0)
    visit.shows("Price", "€98,900").settled()
    expect(visit.page.get_by_test_id("stMetric").first).to_be_in_viewport()
    name = visit.page.get_by_label("Name it to keep it among the packages of the case")
    name.fill("Door and interface")
    name.press("Tab")
    expect(visit.page.get_by_role("button", name="Copy to the packages")).to_be_enabled()
    visit.press("Copy to the packages")
    visit.says("unsaved changes").settled()
    costs = visit.page.locator("table", has_text="What they cost")
    expect(costs).to_contain_text("Door and interface")
    expect(costs.locator("tr", has_text="Door and interface")).to_contain_text("€98,900")
    with visit.page.expect_download() as taken:
        visit.press("Request as an e-mail")
    request = Path(taken.value.path()).read_text(encoding="utf-8")
    assert "Automatic door" in request
    assert "Loader interface" in request
    visit.turn_to("decide")
    choose(visit, "Package", "Door and interface")
    visit.says("You decide on: Fourth axis, drive and cable prepared, Workpiece probe, Contact")
    decided(visit, tmp_path / "mill", "The loader comes")


def row_of(name: str, texts: dict[str, str] | None = None) -> int:
    """The row of an option in the matrix, which has the order of the quote."""
    case = reading_of("small-mill", texts or small_mill()).case
    return [option.name for option in case.catalogue.options].index(name)


def test_the_owner_nudges_automation_sees_verdicts_turn_goes_back_and_decides(
    visit: Visit, draft: Draft, tmp_path: Path
) -> None:
    visit.open("owner", draft.id).says("No verdict turns")
    slider = visit.page.get_by_role("slider", name=AUTOMATION)
    for _ in range(4):  # a quarter of a standard deviation a step
        slider.press("ArrowRight")
    visit.says("Verdicts that turn (2)").settled()
    turned = visit.page.locator("table", has_text="Verdicts that turn (2)")
    door = turned.locator("tr", has_text="Automatic door")
    expect(door).to_contain_text("leave for a retrofit")
    expect(door).to_contain_text("order now")
    expect(turned).to_contain_text("Loader interface")
    visit.press("Back to the case")
    visit.shows("Against the case as it is", "€0")
    expect(door).to_contain_text("just now")
    expect(door).not_to_contain_text("against the case")
    expect(slider).to_have_value("0")
    visit.settled()
    decided(visit, tmp_path / "mill", "It holds as it is")


def test_the_bookkeeper_switches_the_way_of_paying_takes_a_ledger_that_is_the_contract_and_decides(
    visit: Visit, draft: Draft, tmp_path: Path
) -> None:
    visit.open("bookkeeper", draft.id)
    choose(visit, "Way of paying", "Savings bank, half a year of interest only, balloon")
    visit.says("Under 'Savings bank").settled()
    loan = visit.metric("Lowest balance")
    visit.page.get_by_role("slider", name="Deposit").press("ArrowRight")
    visit.says("As planned: lowest balance").settled()
    assert visit.metric("Lowest balance") != loan
    choose(visit, "Way of paying", "A third, a half, the rest")
    visit.says("Under 'A third, a half, the rest' the account falls to").settled()
    assert visit.metric("Lowest balance") != loan
    with visit.page.expect_download() as taken:
        visit.press("Download the whole ledger of 'A third, a half, the rest' (CSV)")
    text = Path(taken.value.path()).read_text(encoding="utf-8")
    rows = [row for row in csv.DictReader(io.StringIO(text)) if row["kind"] == "contract"]
    assert [row["plan"] for row in rows] == ["staged"] * 3
    cents = sum(round(100 * float(row["amount"])) for row in rows)
    assert cents == -9_050_000  # the machine and its three options
    decided(visit, tmp_path / "mill", "The account bears it")


def choose(visit: Visit, label: str, choice: str) -> None:
    visit.page.get_by_role("combobox", name=label, exact=True).click(delay=80)
    visit.page.get_by_role("option", name=choice, exact=True).click(delay=80)


def test_a_cell_typed_wrongly_is_told_mended_and_saved_and_nothing_is_lost(
    visit: Visit, tmp_path: Path
) -> None:
    folder = case_folder(tmp_path)
    open_folder(visit, folder)
    visit.turn_to("case")
    grids.write(visit.page, BASE_PRICE, VALUE, "-5")
    visit.says("1 fault to mend")
    meaning = grids.cell(visit.page, BASE_PRICE, MEANING)
    expect(meaning).to_contain_text("To mend: -5 is below zero. Prices are 0 or more")
    visit.turn_to("answer").says("There is no advice before these are mended")
    visit.turn_to("case")
    grids.write(visit.page, BASE_PRICE, VALUE, "83000")
    visit.says("No faults.")
    visit.press("Save")
    expect(visit.page.get_by_role("button", name="Save", exact=True)).to_be_disabled()
    assert "base_price = 83000" in folder_texts(folder)["machine.toml"]
    visit.page.reload()
    visit.says("No faults.")
    expect(grids.cell(visit.page, BASE_PRICE, VALUE)).to_have_text("83000")
    assert {**folder_texts(folder), "machine.toml": ""} == {**small_mill(), "machine.toml": ""}


def case_folder(parent: Path, texts: dict[str, str] | None = None) -> Path:
    folder = parent / "our-mill"
    folder.mkdir()
    for name, text in (texts or small_mill()).items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def open_folder(visit: Visit, folder: Path) -> None:
    visit.open()
    path = visit.page.get_by_label("Path of the case folder")
    path.fill(str(folder))
    path.press("Tab")
    visit.press("Open")
    visit.says("Order 3 options")


def test_a_link_to_any_page_opens_it_and_changes_nothing(visit: Visit, server: Server) -> None:
    faulty = {**small_mill(256), "options.csv": ""}  # pages of faults come at once
    draft = server.draft("small-mill", faulty)
    for word in PAGES:
        path = "" if word == "answer" else word
        visit.page.goto(f"{server.url}/{path}?draft={draft.id}", wait_until="commit")
        link = visit.page.locator("[data-testid=stTopNavLink][aria-current=page]")
        expect(link).to_have_text(TITLES[word])
        visit.says(re.compile("to mend|these are mended|Mend the case first"))
        expect(visit.page.get_by_role("dialog")).to_have_count(0)
    assert Store(server.state / "drafts").get(draft.id) == draft


def test_the_app_the_command_line_and_json_tell_the_same_figures(
    visit: Visit, server: Server, tmp_path: Path
) -> None:
    folder = case_folder(tmp_path)
    advice = json.loads(said("advise", folder, "--json", "-"))
    cash = json.loads(said("cash", folder, "--json", "-"))
    draft = server.draft("our-mill", folder_texts(folder))
    visit.open("answer", draft.id)
    advised = advice["advised"]
    for figure in ("npc", "hindsight"):
        visit.says(f"€{advised[figure]:,.0f}")
    for figure in ("p10", "p90", "worst_tenth"):
        visit.says(f"€{abs(advised['outcome'][figure]):,.0f}")
    visit.says(f"€{advised['price']:,.0f}")
    visit.turn_to("owner")
    assert visit.metric("Net present cost") == f"€{advised['npc']:,.0f}"
    visit.turn_to("bookkeeper")
    plan = next(each for each in cash["plans"] if each["id"] == cash["cheapest"])
    cents = plan["lowest"]["cents"]
    assert visit.metric("Lowest balance").replace("€", "") in {
        f"{cents / 100:,.2f}",
        f"{cents / 100:,.0f}",
    }
    assert f"{advised['npc']:,.0f}" in said("advise", folder)


def said(*arguments: object) -> str:
    """What the command line prints."""
    result = CliRunner(env={"LC_ALL": "en_US"}).invoke(app, [str(each) for each in arguments])
    assert result.exit_code == 0, result.output
    return result.stdout
