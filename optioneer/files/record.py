"""The record of a case: decisions as they were sealed, and what was paid and fitted since.

One small database file in the case folder. Every act is one transaction that is forced to the
disk before it counts: a process that is killed leaves the record as it was before the act or after
it. Nothing in it is ever changed; a new line says what is new.
"""

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from pathlib import Path

from optioneer.errors import RequestError
from optioneer.study.record.recorded import Arrived, Fitted, PaidFact, Recorded, Sealed

NAME = "record.sqlite"
"""The file in the case folder; beside it stand ``-wal`` and ``-shm`` while it is in use."""

APPLICATION = 0x4F505452
"""Marks the file as ours."""

FORMAT = 1
"""Version of the tables."""

PATIENCE = 5.0
"""How long a writer waits for another one [s]."""

TABLES = f"""
CREATE TABLE decision (
  number INTEGER PRIMARY KEY, body TEXT NOT NULL, before TEXT NOT NULL, seal TEXT NOT NULL UNIQUE
) STRICT;
CREATE TABLE fact (
  number INTEGER PRIMARY KEY, kind TEXT NOT NULL CHECK (kind IN ('paid', 'fitted', 'arrived')),
  body TEXT NOT NULL
) STRICT;
CREATE TRIGGER decision_stays BEFORE UPDATE ON decision
  BEGIN SELECT RAISE(ABORT, 'a sealed decision is not changed'); END;
CREATE TRIGGER decision_kept BEFORE DELETE ON decision
  BEGIN SELECT RAISE(ABORT, 'a sealed decision is not taken out'); END;
CREATE TRIGGER fact_stays BEFORE UPDATE ON fact
  BEGIN SELECT RAISE(ABORT, 'a recorded fact is not changed'); END;
CREATE TRIGGER fact_kept BEFORE DELETE ON fact
  BEGIN SELECT RAISE(ABORT, 'a recorded fact is not taken out'); END;
PRAGMA application_id = {APPLICATION};
PRAGMA user_version = {FORMAT};
"""

FACTS: Mapping[str, type[PaidFact] | type[Fitted] | type[Arrived]] = {
    "paid": PaidFact,
    "fitted": Fitted,
    "arrived": Arrived,
}


def seal_decision(folder: Path, sealed: Sealed) -> int:
    """Put a decision into the record of a case; its number, counted from 1.

    Parameters
    ----------
    folder
        Of the case.
    sealed
        Inputs, results, version and time.

    Raises
    ------
    RequestError
        Another process is writing, or the record cannot be written or is none of ours.
    """
    with _writing(folder) as connection:
        last = connection.execute("SELECT seal FROM decision ORDER BY number DESC LIMIT 1")
        before = (last.fetchone() or ("",))[0]
        body = sealed.model_dump_json()
        found = connection.execute(
            "INSERT INTO decision (body, before, seal) VALUES (?, ?, ?) RETURNING number",
            (body, before, _seal(before, body)),
        )
        return int(found.fetchone()[0])


def record_fact(folder: Path, fact: PaidFact | Fitted | Arrived) -> None:
    """Put what was paid, fitted or arrived into the record of a case.

    Raises
    ------
    RequestError
        Another process is writing, or the record cannot be written or is none of ours.
    """
    kind = next(kind for kind, made in FACTS.items() if isinstance(fact, made))
    with _writing(folder) as connection:
        connection.execute(
            "INSERT INTO fact (kind, body) VALUES (?, ?)", (kind, fact.model_dump_json())
        )


def read_record(folder: Path) -> Recorded:
    """Everything in the record of a case; nothing where there is no record yet.

    Raises
    ------
    RequestError
        The file cannot be read, is none of ours, or a sealed decision was tampered with.
    """
    if not (folder / NAME).exists():
        return Recorded()
    with _connected(folder) as connection:
        if _untouched(connection):
            return Recorded()
        _must_be_ours(folder, connection)
        decisions = connection.execute(
            "SELECT number, body, before, seal FROM decision ORDER BY number"
        ).fetchall()
        facts = connection.execute("SELECT kind, body FROM fact ORDER BY number").fetchall()
    return Recorded(
        decisions=tuple(_opened(folder, decisions)),
        facts=tuple(FACTS[kind].model_validate_json(body) for kind, body in facts),
    )


def _opened(folder: Path, rows: Sequence[tuple[int, str, str, str]]) -> Iterator[Sealed]:
    before = ""
    for number, body, told_before, seal in rows:
        if told_before != before or seal != _seal(before, body):
            raise RequestError(
                f"{folder / NAME}: the seal of decision {number} is broken: it or one before it "
                "was changed after it was sealed. Take the file from a backup."
            )
        yield Sealed.model_validate_json(body)
        before = seal


def _seal(before: str, body: str) -> str:
    """A hash over a decision and the seal before it, so that none can be changed unseen."""
    return hashlib.sha256(json.dumps([before, body]).encode("utf-8")).hexdigest()


@contextmanager
def _connected(folder: Path) -> Iterator[sqlite3.Connection]:
    path = folder / NAME
    try:
        with closing(sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)) as connection:
            yield connection
    except sqlite3.OperationalError as error:
        busy = "locked" in str(error) or "busy" in str(error)
        why = "another process is writing to it; try again" if busy else f"{error}"
        raise RequestError(f"{path}: {why}. Nothing was changed.") from error
    except sqlite3.DatabaseError as error:
        raise RequestError(
            f"{path}: this is no record of decisions ({error}). Move it away or take it from a "
            "backup."
        ) from error


@contextmanager
def _writing(folder: Path) -> Iterator[sqlite3.Connection]:
    """A connection inside one transaction, which is on the disk when the block is left."""
    with _connected(folder) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("BEGIN IMMEDIATE")
        try:
            if _untouched(connection):
                _make_tables(connection)
            _must_be_ours(folder, connection)
            yield connection
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise
        connection.execute("COMMIT")


def _untouched(connection: sqlite3.Connection) -> bool:
    """Whether the file was made and left before anything was put into it."""
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    return not tables and not _number(connection, "application_id")


def _make_tables(connection: sqlite3.Connection) -> None:
    for statement in _statements():
        connection.execute(statement)


def _statements() -> Iterator[str]:
    """The statements one by one: a script would end the transaction."""
    gathered = ""
    for line in TABLES.strip().splitlines():
        gathered += f"{line}\n"
        if sqlite3.complete_statement(gathered):
            yield gathered
            gathered = ""


def _must_be_ours(folder: Path, connection: sqlite3.Connection) -> None:
    if _number(connection, "application_id") != APPLICATION:
        _refuse(folder)
    version = _number(connection, "user_version")
    if version > FORMAT:
        raise RequestError(
            f"{folder / NAME}: written by a newer version of the program (format {version}, this "
            f"one knows {FORMAT}). Update the program."
        )


def _refuse(folder: Path) -> None:
    raise RequestError(f"{folder / NAME}: a database of something else. Move it away.")


def _number(connection: sqlite3.Connection, pragma: str) -> int:
    return int(connection.execute(f"PRAGMA {pragma}").fetchone()[0])
