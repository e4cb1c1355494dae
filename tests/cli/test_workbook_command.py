import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from optioneer.cli import app
from optioneer.files.case.read import read_case
from optioneer.files.case.starter import write_starter
from tests.cases_as_texts import few, mill
from tests.files.folders import contents


def run(*arguments: object) -> Result:
    return CliRunner().invoke(app, [str(one) for one in arguments])


@pytest.fixture
def case(tmp_path: Path) -> Path:
    write_starter(tmp_path / "case")
    return tmp_path / "case"


def test_a_case_goes_out_as_a_workbook_and_comes_back(case: Path, tmp_path: Path) -> None:
    book = tmp_path / "case.xlsx"
    assert run("workbook", case, "--out", book).exit_code == 0
    assert run("take-in", book, tmp_path / "again").exit_code == 0
    again = read_case(tmp_path / "again")
    assert again.model_copy(update={"name": "case"}) == read_case(case)


def test_a_workbook_goes_back_into_its_case_only_when_asked(case: Path, tmp_path: Path) -> None:
    before, book = contents(case), tmp_path / "case.xlsx"
    run("workbook", case, "--out", book)
    refused = run("take-in", book, case)
    assert (refused.exit_code, "is not empty" in refused.output) == (2, True)
    assert run("take-in", book, case, "--update").exit_code == 0
    assert contents(case) == before


def test_a_blank_workbook_is_refused_with_what_is_missing(tmp_path: Path) -> None:
    book = tmp_path / "new.xlsx"
    assert run("workbook", "--new", "--out", book).exit_code == 0
    refused = run("take-in", book, tmp_path / "case")
    assert refused.exit_code == 2
    assert "new.xlsx, sheet 'machine', cell C3 (machine, name): is blank." in refused.output
    assert not (tmp_path / "case").exists()


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (("workbook", "--out", "a.xlsx"), "name a CASE, or ask for blank sheets with --new"),
        (("workbook", "--new", "--out", "a.csv"), "is no workbook; end it in .xlsx"),
        (("take-in", "a.xlsx"), "name the folder DIR for a case, or --into CASE for a list"),
        (("take-in", "a.xlsx", "DIR", "--yes"), "--yes: belongs to --into CASE"),
        (("take-in", "a.xlsx", "DIR"), "there is no such file"),
    ],
)
def test_what_does_not_go_together_is_refused(arguments: tuple[str, ...], sentence: str) -> None:
    refused = run(*arguments)
    assert (refused.exit_code, sentence in refused.output) == (2, True), refused.output


QUOTE = b"Bezeichnung;Preis\n%s;9.876,50\nCoffee machine;350,00\n"


@pytest.fixture
def quote(case: Path, tmp_path: Path) -> Path:
    name = read_case(case).catalogue.options[1].name
    (tmp_path / "quote.csv").write_bytes(QUOTE % name.encode())
    return tmp_path / "quote.csv"


def test_a_list_is_only_proposed_until_it_is_accepted(case: Path, quote: Path) -> None:
    before = contents(case)
    shown = run("take-in", quote, "--into", case)
    assert shown.exit_code == 0
    assert "Nothing is taken in yet. 1 price would change" in shown.output
    assert "Coffee machine" in shown.output
    assert contents(case) == before


def test_an_accepted_list_changes_its_prices_and_keeps_the_old_file(
    case: Path, quote: Path
) -> None:
    before = contents(case)
    assert run("take-in", quote, "--into", case, "--yes").exit_code == 0
    assert read_case(case).catalogue.options[1].price == 9876.5
    after = contents(case)
    assert after.pop("options.csv.old") == before["options.csv"]
    assert {n for n in before if after[n] != before[n]} == {"options.csv", "sources.csv"}


def test_a_saved_mapping_takes_the_next_list_in(case: Path, quote: Path, tmp_path: Path) -> None:
    mapping = tmp_path / "mapping.toml"
    run("take-in", quote, "--into", case, "--save-mapping", mapping)
    quote.write_bytes(quote.read_bytes().replace(b"9.876", b"8.888"))
    assert run("take-in", quote, "--into", case, "--mapping", mapping).exit_code == 0
    assert read_case(case).catalogue.options[1].price == 8888.5


def test_a_price_in_doubt_is_asked_and_nothing_is_taken_in(case: Path, quote: Path) -> None:
    before = contents(case)
    quote.write_bytes(quote.read_bytes().replace(b"9.876,50", b"9.876").replace(b",00", b""))
    refused = run("take-in", quote, "--into", case, "--yes")
    assert refused.exit_code == 2
    assert "can be read as 9876 or as 9.8760" in " ".join(refused.output.split())
    assert contents(case) == before


def test_the_proposal_can_be_had_as_json(case: Path, quote: Path) -> None:
    told = json.loads(run("take-in", quote, "--into", case, "--json", "-").stdout)
    assert [line["after"] for line in told["placed"]] == [9876.5]
    assert [line["text"] for line in told["unplaced"]] == ["Coffee machine"]


def test_the_results_go_out_as_a_workbook_with_formulas(tmp_path: Path) -> None:
    case, book = tmp_path / "mill", tmp_path / "results.xlsx"
    case.mkdir()
    for name, text in few(mill(64)).items():
        (case / name).write_text(text, encoding="utf-8")
    done = run("workbook", case, "--results", "--out", book)
    assert (done.exit_code, book.read_bytes()[:2]) == (0, b"PK"), done.output
    refused = run("take-in", book, tmp_path / "other")
    assert (refused.exit_code, "is no entry workbook" in refused.output) == (2, True)
