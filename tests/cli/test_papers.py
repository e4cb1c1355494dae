"""The commands of papers and of the record, one after the other as a person would."""

import shutil
from pathlib import Path

import pytest
from icalendar import Calendar
from typer.testing import CliRunner, Result

from optioneer.cli import app
from optioneer.files.record import read_record

DEMO = Path(__file__).parents[2] / "catalogs_demo" / "small-mill"


@pytest.fixture
def case(tmp_path: Path) -> Path:
    folder = tmp_path / "small-mill"
    shutil.copytree(DEMO, folder)
    growth = folder / "growth.toml"
    text = growth.read_text(encoding="utf-8")
    few = [f"futures = {256}" if line.startswith("futures") else line for line in text.splitlines()]
    growth.write_text("\n".join(few) + "\n", encoding="utf-8")
    return folder


def run(*arguments: object) -> Result:
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def done(*arguments: object) -> str:
    result = run(*arguments)
    assert result.exit_code == 0, result.output
    return result.stdout


def refused(*arguments: object) -> str:
    result = run(*arguments)
    assert result.exit_code == 2, result.output
    return " ".join(result.stderr.split())


@pytest.mark.parametrize(("name", "start"), [("r.html", b"<!DOCTYPE html>"), ("r.pdf", b"%PDF-")])
def test_a_report_is_written_in_the_kind_its_name_asks_for(
    case: Path, tmp_path: Path, name: str, start: bytes
) -> None:
    assert f"Written: {tmp_path / name}" in done("report", case, "--out", tmp_path / name)
    assert (tmp_path / name).read_bytes().startswith(start)


@pytest.mark.parametrize(
    ("name", "start"), [("q.docx", b"PK"), ("q.pdf", b"%PDF-"), ("q.txt", b"Request for quotation")]
)
def test_a_request_is_written_for_a_named_package(
    case: Path, tmp_path: Path, name: str, start: bytes
) -> None:
    done("request", case, "--package", "base", "--out", tmp_path / name)
    assert (tmp_path / name).read_bytes().startswith(start)


def test_a_request_for_the_advised_package_asks_about_its_retrofits(
    case: Path, tmp_path: Path
) -> None:
    done("request", case, "--out", tmp_path / "q.txt")
    assert "FIRM PRICE FOR A LATER RETROFIT" in (tmp_path / "q.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("command", "name"), [("report", "r.txt"), ("request", "q.html"), ("calendar", "c.csv")]
)
def test_another_kind_of_paper_is_refused_before_the_work(
    case: Path, tmp_path: Path, command: str, name: str
) -> None:
    assert "is no such paper; end it in ." in refused(command, case, "--out", tmp_path / name)
    assert not (tmp_path / name).exists()


def test_a_calendar_written_again_after_a_change_updates_its_events(
    case: Path, tmp_path: Path
) -> None:
    file, machine = tmp_path / "case.ics", case / "machine.toml"
    done("calendar", case, "--package", "base", "--out", file)
    before = file.read_bytes()
    done("calendar", case, "--package", "base", "--out", file)
    assert file.read_bytes() == before
    text = machine.read_text(encoding="utf-8")
    machine.write_text(text.replace("order = 2027-05-03", "order = 2027-06-07"), encoding="utf-8")
    done("calendar", case, "--package", "base", "--out", file)
    old, new = (Calendar.from_ical(one).walk("VEVENT") for one in (before, file.read_bytes()))
    order = {str(e["uid"]): e.decoded("dtstart").isoformat() for e in old}
    moved = {str(e["uid"]): e.decoded("dtstart").isoformat() for e in new}
    (uid,) = [str(e["uid"]) for e in old if e["summary"] == "Order the machine"]
    assert (order[uid], moved[uid]) == ("2027-05-03", "2027-06-07")


def test_a_calendar_far_too_large_is_refused_unread(case: Path, tmp_path: Path) -> None:
    file = tmp_path / "days.ics"
    with file.open("wb") as hollow:
        hollow.truncate(400_000_000)
    assert "is 400,000,000 bytes long" in refused(
        "calendar", case, "--package", "base", "--out", file
    )
    assert file.stat().st_size == 400_000_000


def test_a_calendar_does_not_overwrite_something_else(case: Path, tmp_path: Path) -> None:
    file = tmp_path / "case.ics"
    file.write_text("my own notes", encoding="utf-8")
    said = refused("calendar", case, "--package", "base", "--out", file)
    assert "name another" in said
    assert file.read_text(encoding="utf-8") == "my own notes"


def test_a_decision_is_sealed_and_later_held_against_what_came(case: Path) -> None:
    assert "No decision is recorded yet" in done("history", case)
    assert "Decision 1 is sealed" in done("decide", case, "--package", "advised", "--note", "go")
    assert "Decision 2 is sealed" in done("decide", case, "--package", "base", "--note", "no money")
    done("paid", case, "--date", "2027-05-03", "--amount", "27150.00", "--what", "deposit")
    done("paid", case, "--date", "2027-06-14", "--amount", "10", "--kind", "fee", "--received")
    done("fitted", case, "work-probe", "--date", "2028-05-02", "--amount", "7000", "--days", "1.5")
    done("arrived", case, "many-sided", "--date", "2028-10-02", "--margin", "9800")
    told = done("history", case, "--until", "2029-01-01")
    for words in ("base: no money", "-€27,150", "Workpiece", "1 of 6 kinds of work", "1.45"):
        assert words in told
    assert "€9,800" in told


def test_two_decisions_are_told_apart_line_by_line(case: Path) -> None:
    done("decide", case, "--package", "advised")
    text = (case / "machine.toml").read_text(encoding="utf-8")
    dearer = text.replace("base_price = 82000.00", "base_price = 83000.00")
    (case / "machine.toml").write_text(dearer, encoding="utf-8")
    done("decide", case, "--package", "base")
    told = done("history", case, "--between", "1,2")
    assert "- -base_price = 82000.00" in told
    assert "- +base_price = 83000.00" in told
    assert "DROPPED FROM IT" in told
    assert "write two numbers" in refused("history", case, "--between", "1,7")


def test_inputs_are_sealed_as_they_were_written(case: Path) -> None:
    done("decide", case, "--package", "base")
    (decision,) = read_record(case).decisions
    files = sorted(path.name for path in case.iterdir() if path.suffix in {".toml", ".csv"})
    assert sorted(decision.inputs) == files
    for name, text in decision.inputs.items():
        assert text == (case / name).read_bytes().decode()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("paid", "--date", "2027-05-03", "--amount", "1.005"), "no amount in whole cents"),
        (("paid", "--date", "2027-05-03", "--amount", "nan"), "no amount in whole cents"),
        (("paid", "--date", "3.5.2027", "--amount", "1"), "is no date"),
        (("paid", "--date", "1827-05-03", "--amount", "1"), "date: "),
        (("paid", "--date", "2027-05-03", "--amount", "1", "--kind", "taxes"), "no 'taxes'"),
        (
            ("paid", "--date", "2027-05-03", "--amount", "1", "--what", "a\x07b"),
            "control character",
        ),
        (("fitted", "work-prob", "--date", "2028-05-02", "--amount", "1"), "'work-probe'"),
        (("arrived", "many-side", "--date", "2028-05-02"), "'many-sided'"),
    ],
)
def test_a_mistake_is_named_and_nothing_is_recorded(
    case: Path, arguments: tuple[str, ...], said: str
) -> None:
    command, *others = arguments
    assert said in refused(command, case, *others)
    assert not (case / "record.sqlite").exists()


def test_a_folder_that_is_no_case_gets_no_record(tmp_path: Path) -> None:
    said = refused("paid", tmp_path, "--date", "2027-05-03", "--amount", "1")
    assert "is no case" in said
    assert list(tmp_path.iterdir()) == []
