"""The record of a case: sealed, append-only, one writer, and told apart from other files."""

import sqlite3
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from optioneer.errors import RequestError
from optioneer.files import record
from optioneer.files.case.read import reading
from optioneer.files.record import NAME, read_record, record_fact, seal_decision
from optioneer.study.record.decide import planned
from optioneer.study.record.recorded import Arrived, Fitted, PaidFact, Recorded, Sealed
from tests import shop
from tests.files.folders import starter
from tests.study.dealer.test_questions import ADVISED

PAID = PaidFact(date=date(2027, 3, 1), cents=-5_088_000, kind="contract", what="deposit")
FITTED = Fitted(date=date(2029, 5, 7), option="work-probe", cents=900_000, downtime_days=1.5)
CAME = Arrived(date=date(2028, 9, 1), stream="night", margin=31_000.5)


def sealed(note: str = "the first") -> Sealed:
    case, advice = shop.case(), shop.advice()
    return Sealed(
        time=datetime(2026, 11, 25, 9, 30, tzinfo=UTC),
        version="0.1.0",
        case="demo-shop",
        currency="USD",
        fingerprint="ab" * 32,
        note=note,
        inputs={"machine.toml": "[machine]\n"},
        package=advice.advised,
        advice=advice,
        planned=planned(case, ADVISED, advice.advised.options, advice),
    )


def changed(folder: Path, statement: str) -> None:
    with closing(sqlite3.connect(folder / NAME)) as connection, connection:
        connection.execute(statement)


def test_what_was_sealed_is_read_back_to_the_last_figure(tmp_path: Path) -> None:
    assert [seal_decision(tmp_path, sealed(note)) for note in ("one", "two")] == [1, 2]
    for fact in (PAID, FITTED, CAME):
        record_fact(tmp_path, fact)
    found = read_record(tmp_path)
    assert found == Recorded(decisions=(sealed("one"), sealed("two")), facts=(PAID, FITTED, CAME))


def test_without_a_record_there_is_nothing_and_none_is_made(tmp_path: Path) -> None:
    assert read_record(tmp_path) == Recorded()
    assert list(tmp_path.iterdir()) == []


def test_a_record_that_was_only_just_made_holds_nothing(tmp_path: Path) -> None:
    (tmp_path / NAME).touch()
    assert read_record(tmp_path) == Recorded()
    record_fact(tmp_path, PAID)
    assert read_record(tmp_path).facts == (PAID,)


@pytest.mark.parametrize("table", ["decision", "fact"])
@pytest.mark.parametrize("act", ["UPDATE {} SET body = ''", "DELETE FROM {}"])
def test_what_is_recorded_cannot_be_changed(tmp_path: Path, table: str, act: str) -> None:
    seal_decision(tmp_path, sealed())
    record_fact(tmp_path, PAID)
    with pytest.raises(sqlite3.IntegrityError, match="is not"):
        changed(tmp_path, act.format(table))


def test_a_decision_that_was_changed_all_the_same_is_found_out(tmp_path: Path) -> None:
    seal_decision(tmp_path, sealed("one"))
    seal_decision(tmp_path, sealed("two"))
    changed(tmp_path, "DROP TRIGGER decision_stays")
    changed(tmp_path, "UPDATE decision SET body = replace(body, '\"one\"', '\"1\"')")
    with pytest.raises(RequestError, match="the seal of decision 1 is broken"):
        read_record(tmp_path)


def test_a_decision_that_was_taken_out_is_found_out(tmp_path: Path) -> None:
    seal_decision(tmp_path, sealed("one"))
    seal_decision(tmp_path, sealed("two"))
    changed(tmp_path, "DROP TRIGGER decision_kept")
    changed(tmp_path, "DELETE FROM decision WHERE number = 1")
    with pytest.raises(RequestError, match="the seal of decision 2 is broken"):
        read_record(tmp_path)


def test_every_write_is_forced_to_the_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    connect = sqlite3.connect

    def traced(*place: object, **more: object) -> sqlite3.Connection:
        connection: sqlite3.Connection = connect(*place, **more)  # type: ignore[call-overload]  # as called
        connection.set_trace_callback(told.append)
        return connection

    monkeypatch.setattr(sqlite3, "connect", traced)
    record_fact(tmp_path, PAID)
    assert told.index("PRAGMA synchronous = FULL") < told.index("BEGIN IMMEDIATE")
    assert told.count("COMMIT") == 1
    monkeypatch.undo()
    with closing(sqlite3.connect(tmp_path / NAME)) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_a_second_writer_is_told_and_nothing_is_lost(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record_fact(tmp_path, PAID)
    monkeypatch.setattr(record, "PATIENCE", 0.05)
    with closing(sqlite3.connect(tmp_path / NAME, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(RequestError, match="another process is writing to it"):
            record_fact(tmp_path, FITTED)
        assert read_record(tmp_path).facts == (PAID,)  # readers are not kept waiting
    record_fact(tmp_path, FITTED)
    assert read_record(tmp_path).facts == (PAID, FITTED)


def test_a_file_that_is_no_record_is_refused_and_kept(tmp_path: Path) -> None:
    (tmp_path / NAME).write_bytes(b"a letter, not a database\n" * 50)
    for act in (lambda: read_record(tmp_path), lambda: record_fact(tmp_path, PAID)):
        with pytest.raises(RequestError, match="no record of decisions"):
            act()
    assert (tmp_path / NAME).read_bytes().startswith(b"a letter")


def test_a_database_of_something_else_is_refused_and_kept(tmp_path: Path) -> None:
    changed(tmp_path, "CREATE TABLE songs (title TEXT)")
    for act in (lambda: read_record(tmp_path), lambda: record_fact(tmp_path, PAID)):
        with pytest.raises(RequestError, match="a database of something else"):
            act()


def test_a_record_of_a_newer_program_is_refused(tmp_path: Path) -> None:
    record_fact(tmp_path, PAID)
    changed(tmp_path, "PRAGMA user_version = 99")
    with pytest.raises(RequestError, match="newer version"):
        read_record(tmp_path)


def test_a_case_with_a_record_in_use_reads_as_without(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    before = reading(folder)
    record_fact(folder, PAID)
    with closing(sqlite3.connect(folder / NAME)) as connection:  # -wal and -shm stand beside it
        connection.execute("SELECT * FROM fact").fetchall()
        record_fact(folder, FITTED)
        assert {f"{NAME}-wal", f"{NAME}-shm"} <= {path.name for path in folder.iterdir()}
        assert reading(folder) == before
