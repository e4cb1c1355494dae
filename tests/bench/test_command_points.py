"""Every write point of every command that writes, with what may happen there.

At each point some of the faults are tried, drawn from a fixed seed; `test_write_points.py` tries
all of them at every point of what the commands are made of.

Run with ``pytest -n0 -s tests/bench/test_command_points.py``: some minutes.
"""

import os
import random
import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.exceptions import Exit
from typer.testing import CliRunner

from optioneer.cli import app
from optioneer.errors import RequestError
from optioneer.files.case.read import read_case
from optioneer.files.case.starter import write_starter
from optioneer.files.case.write import write_case
from optioneer.reports.sheets.entry import entry_workbook
from tests.files.saving import writing
from tests.files.saving.faults import KINDS
from tests.files.saving.writing import Writer, hold, points_of, recorded, texts

pytestmark = [
    pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked"),
    pytest.mark.timeout(1800),
]

FUTURES = 16

TRIED = 3
"""Faults at each point."""


def case(folder: Path) -> Path:
    """A small case, quick to value."""
    write_starter(folder / "case")
    read = read_case(folder / "case")
    growth = read.growth.model_copy(update={"futures": FUTURES})
    write_case(read.model_copy(update={"growth": growth}), folder / "case")
    return folder / "case"


def command(*arguments: str) -> Callable[[Path], None]:
    """A run of the command line; words that begin with ``@`` are names in the folder."""

    def act(folder: Path) -> None:
        words = [str(folder / each[1:]) if each.startswith("@") else each for each in arguments]
        result = CliRunner().invoke(app, words)
        if result.exit_code == 2:
            raise RequestError(" ".join(result.stderr.split()))
        if result.exit_code == 130:
            raise KeyboardInterrupt
        if result.exception is not None and not isinstance(result.exception, SystemExit | Exit):
            raise result.exception

    return act


def paper(name: str) -> Callable[[Path], object]:
    """Whether a paper is there, and whole: all of it ends as its kind does."""

    def state(folder: Path) -> object:
        file = folder / name
        if not file.exists():
            return None
        data = file.read_bytes().rstrip()
        ends = {
            ".html": b"</html>",
            ".ics": b"END:VCALENDAR",
            ".json": b"}",
            ".csv": b"",
            ".txt": b"",
            ".xlsx": b"",
        }
        assert data.endswith(ends[file.suffix]), "a torn paper"
        return len(data) > 100

    return state


def _sheet(folder: Path) -> None:
    read = read_case(case(folder))
    machine = read.machine.model_copy(update={"base_price": 999_000.0})
    changed = entry_workbook(read.model_copy(update={"machine": machine}))
    (folder / "in.xlsx").write_bytes(changed)


def _list(folder: Path) -> None:
    found = read_case(case(folder)).catalogue.options[0]
    lines = f"item,description,price\n{found.option},{found.name},4321.00\n"
    (folder / "list.csv").write_text(lines, encoding="utf-8")


def _begin(folder: Path) -> None:
    case(folder)


def _paid(folder: Path) -> None:
    writing._pay(case(folder))


def _noted(folder: Path) -> object:
    return tuple(type(one.what).__name__ for one in recorded(folder / "case"))  # type: ignore[attr-defined]


def commands() -> Iterator[tuple[str, Writer]]:
    """Every command that writes."""
    day = ("--date", "2027-06-01")
    on_case: dict[str, tuple[str, ...]] = {
        "decide": ("decide", "@case", "--package", "base"),
        "paid": ("paid", "@case", *day, "--amount", "10"),
        "fitted": ("fitted", "@case", "work-probe", *day, "--amount", "10"),
        "arrived": ("arrived", "@case", "night-shift", *day),
        "withdraw": ("withdraw", "@case", "1"),
        "paid again": ("paid", "@case", *day, "--amount", "1", "--corrects", "1"),
    }
    for name, words in on_case.items():
        yield name, Writer(_paid, command(*words), _noted)
    yield "new", Writer(lambda _: None, command("new", "@new"), lambda f: texts(f / "new"))
    into = command("take-in", "@in.xlsx", "@new")
    yield "take-in", Writer(_sheet, into, lambda f: texts(f / "new"))
    update = command("take-in", "@in.xlsx", "@case", "--update")
    yield "take-in --update", Writer(_sheet, update, lambda f: texts(f / "case"))
    prices = command("take-in", "@list.csv", "--into", "@case", "--yes")
    yield "take-in --into", Writer(_list, prices, lambda f: texts(f / "case"))
    written: dict[str, tuple[str, ...]] = {
        "r.txt": ("request", "@case", "--package", "base", "--out", "@r.txt"),
        "c.ics": ("calendar", "@case", "--package", "base", "--out", "@c.ics"),
        "w.xlsx": ("workbook", "@case", "--out", "@w.xlsx"),
        "v.json": ("value", "@case", "--package", "", "--json", "@v.json"),
        "m.csv": ("cash", "@case", "--package", "base", "--csv", "@m.csv"),
    }
    for name, words in written.items():
        yield name, Writer(_begin, command(*words), paper(name))


COMMANDS = dict(commands())


@pytest.mark.parametrize("folders", ["synced", "unsynced"])
@pytest.mark.parametrize("name", COMMANDS)
def test_whatever_happens_while_a_command_writes_it_is_the_old_state_or_the_new_one(
    tmp_path: Path,
    name: str,
    folders: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(writing.WRITERS, name, COMMANDS[name])
    monkeypatch.setattr(writing, "_NEW", {})
    most = points_of(name, tmp_path / "count")
    assert most > 0
    chance = random.Random(f"{name} {folders}")  # noqa: S311 - faults to try
    for at in range(1, most + 1):
        for kind in chance.sample(KINDS, TRIED):
            hold(name, kind, at, place=tmp_path / "place", folders_sync=folders == "synced")
    shutil.rmtree(tmp_path)
    with capsys.disabled():
        sys.stdout.write(f"\n{name}: {most} write points, {TRIED} faults each, none failed ")
