"""The commands of papers and of the record, one after the other as a person would."""

import os
import shutil
import signal
from pathlib import Path

import pytest
from icalendar import Calendar
from typer.testing import CliRunner, Result

from optioneer.cli import app
from optioneer.files.record.entries import read_record
from tests.cases_as_texts import few, mill


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that every test gets a copy of."""
    folder = tmp_path_factory.mktemp("before") / "small-mill"
    folder.mkdir()
    for name, text in few(mill(64), "work-probe").items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def case(before: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(before, tmp_path / "small-mill"))


@pytest.fixture(scope="module")
def sealed(before: Path, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The record once the bare machine is decided."""
    folder = shutil.copytree(before, tmp_path_factory.mktemp("sealed") / "small-mill")
    done("decide", folder, "--package", "base")
    return (folder / "record.jsonl").read_bytes()


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


def test_a_report_is_written_in_the_kind_its_name_asks_for(case: Path, tmp_path: Path) -> None:
    """The other kind travels below."""
    file = tmp_path / "r.pdf"
    assert f"Written: {file}" in done("report", case, "--out", file)
    assert file.read_bytes().startswith(b"%PDF-")


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


def test_before_any_advice_a_list_alone_makes_a_request(tmp_path: Path) -> None:
    made, out = tmp_path / "case", tmp_path / "q.txt"
    done("start", "catalogs_demo/dealer-list.csv", made, "--yes")
    done("request", made, "--before-advice", "--out", out)
    told = out.read_text(encoding="utf-8")
    assert "WHAT YOUR LIST DOES NOT TELL" in told
    assert "High pressure coolant 70 bar" in told


def test_a_request_before_advice_takes_no_package(case: Path, tmp_path: Path) -> None:
    words = ("--before-advice", "--package", "base", "--out", tmp_path / "q.txt")
    assert "Leave --package" in refused("request", case, *words)
    assert not (tmp_path / "q.txt").exists()


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
    for words in ("base: no money", "-€27,150", "Workpiece", "1 of 3 kinds of work", "1.31"):
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
    decision = read_record(case).decisions[1]
    files = sorted(path.name for path in case.iterdir() if path.suffix in {".toml", ".csv"})
    assert sorted(decision.inputs) == files
    for name, text in decision.inputs.items():
        assert text == (case / name).read_bytes().decode()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("paid", "--date", "2027-05-03", "--amount", "1.005"), "no amount of EUR, which has 2"),
        (("paid", "--date", "2027-05-03", "--amount", "nan"), "no amount from 0 to below"),
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
    assert not (case / "record.jsonl").exists()


def head_in(text: str) -> str:
    return text.split("--expect ")[1].split(maxsplit=1)[0]


def paid(case: Path, *more: object, day: str = "2027-06-01", amount: str = "10") -> str:
    return done("paid", case, "--date", day, "--amount", amount, *more)


def test_every_write_tells_a_head_and_history_finds_what_it_stands_for(case: Path) -> None:
    first = head_in(paid(case))
    second = head_in(done("arrived", case, "many-sided", "--date", "2028-10-02"))
    assert first.startswith("1-")
    assert second.startswith("2-")
    assert f"its head is {second}" in " ".join(done("history", case).split())
    assert "unchanged; 1 more since" in done("history", case, "--expect", first)
    assert "unchanged; nothing since" in done("history", case, "--expect", second)


def test_a_record_that_was_cut_is_seen_by_the_head_that_was_kept(case: Path) -> None:
    paid(case)
    kept = head_in(paid(case))
    file = case / "record.jsonl"
    file.write_bytes(b"".join(file.read_bytes().splitlines(keepends=True)[:-1]))
    assert "1 entry" in done("history", case)
    said = refused("history", case, "--expect", kept)
    assert f"does not hold what the head {kept} stands for" in said
    assert "write the head as it was told" in refused("history", case, "--expect", "12")


def test_history_says_what_a_seal_without_a_key_cannot_show(case: Path) -> None:
    paid(case)
    assert "does not show a record that was cut at its end" in " ".join(
        done("history", case).split()
    )


def test_damage_is_named_the_rest_is_shown_and_nothing_is_written_over_it(case: Path) -> None:
    paid(case, "--what", "deposit")
    paid(case, "--what", "freight")
    file = case / "record.jsonl"
    damaged = file.read_bytes().replace(b"deposit", b"deposjt")
    file.write_bytes(damaged)
    result = run("history", case)
    assert result.exit_code == 2
    assert "Line 2 was changed after it was sealed" in " ".join(result.stderr.split())
    assert "freight" in result.stdout
    assert "deposjt" not in result.stdout
    arguments = ("paid", case, "--date", "2027-06-01", "--amount", "1")
    assert "nothing is written over it" in refused(*arguments)
    assert "nothing is written over it" in refused("decide", case, "--package", "base")
    assert file.read_bytes() == damaged


def test_an_empty_record_is_damage_and_not_no_decision_yet(case: Path) -> None:
    (case / "record.jsonl").touch()
    assert "The file is empty" in refused("history", case)


def test_a_wrong_entry_is_set_right_by_a_later_one_and_both_stay(case: Path) -> None:
    done("decide", case, "--package", "base")
    paid(case, amount="500.00")
    paid(case, "--corrects", "2", amount="50.00")
    done("arrived", case, "many-sided", "--date", "2028-10-02")
    done("withdraw", case, "4", "--note", "another customer")
    told = done("history", case, "--until", "2029-01-01")
    assert "0 of 3 kinds of work" in told
    assert "counts no more: entry 3" in told
    assert "withdrawn, another customer; instead of entry 4" in " ".join(told.split())
    assert read_record(case).facts[0].model_dump()["cents"] == -5000
    assert "Such entries: 2, 3, 4" in refused("withdraw", case, "1")
    assert "counts no more" in refused("withdraw", case, "4")


@pytest.mark.parametrize("decided", [True, False])
@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("paid", "--date", "2017-05-03", "--amount", "1"), "before the order of 2027-05-03"),
        (("paid", "--date", "2027-05-03", "--amount", "99000000"), "times the expected"),
        (
            ("fitted", "work-probe", "--date", "2028-05-02", "--amount", "700000"),
            "a bill of 700,000.00 is",
        ),
        (
            ("fitted", "work-probe", "--date", "2028-05-02", "--amount", "7000", "--days", "900"),
            "a standstill in days of 900.00",
        ),
        (("arrived", "many-sided", "--date", "2028-05-02", "--margin", "980000000"), "a margin of"),
        (("arrived", "many-sided", "--date", "2026-05-02"), "before the order of 2027-05-03"),
    ],
)
def test_what_is_unlikely_is_asked_about_and_recorded_when_it_is_said_to_be_right(
    case: Path, sealed: bytes, arguments: tuple[str, ...], said: str, *, decided: bool
) -> None:
    if decided:
        (case / "record.jsonl").write_bytes(sealed)
    before = len(read_record(case).entries)
    command, *others = arguments
    question = refused(command, case, *others)
    assert said in question
    assert "say so with --yes" in question
    assert len(read_record(case).entries) == before
    done(command, case, *others, "--yes")
    assert len(read_record(case).entries) == before + 1


def test_a_decision_that_is_sealed_is_told_so_whatever_ctrl_c_comes_meanwhile(
    case: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    really = os.replace

    def pressed(old: object, new: object) -> None:
        really(str(old), str(new))
        signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(os, "replace", pressed)
    told = done("decide", case, "--package", "base")
    assert "Decision 1 is sealed" in told
    assert list(read_record(case).decisions) == [1]


def test_papers_that_travel_keep_the_head_of_the_record(case: Path, tmp_path: Path) -> None:
    report, calendar = tmp_path / "r.html", tmp_path / "c.ics"
    done("calendar", case, "--package", "base", "--out", calendar)
    assert b"Head of the record" not in calendar.read_bytes()
    head = head_in(paid(case))
    assert f"Written: {report}" in done("report", case, "--out", report)
    done("calendar", case, "--package", "base", "--out", calendar)
    assert report.read_bytes().startswith(b"<!DOCTYPE html>")
    assert f"--expect {head}" in report.read_text(encoding="utf-8")
    described = str(Calendar.from_ical(calendar.read_bytes())["description"])
    assert f"--expect {head}" in described
    file = case / "record.jsonl"
    file.write_bytes(file.read_bytes().replace(b"contract", b"contrakt"))
    done("calendar", case, "--package", "base", "--out", calendar)
    described = str(Calendar.from_ical(calendar.read_bytes())["description"])
    assert "was damaged when this was written" in described


def test_a_folder_that_is_no_case_gets_no_record(tmp_path: Path) -> None:
    said = refused("paid", tmp_path, "--date", "2027-05-03", "--amount", "1")
    assert "is no case" in said
    assert list(tmp_path.iterdir()) == []
