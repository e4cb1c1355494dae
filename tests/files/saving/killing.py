"""Children killed in the middle of writing, and what is left.

They are forked, so that one costs milliseconds; each writes as fast as it can, tells each write
that was acknowledged, and is killed at a random moment.
"""

import os
import random
import signal
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from optioneer.files.case.read import read_case
from optioneer.files.case.starter import NAMES, write_starter
from optioneer.files.case.write import write_case
from optioneer.files.plain.atomic import MARK, PREFIX
from optioneer.files.record.entries import read_record, record
from optioneer.files.saving.commit import settle, write_files_atomically
from optioneer.study.record.facts import PaidFact
from tests.files.saving.writing import sealed, small_case

TIMED = 3
"""Writes that are timed, so that children are killed within three of them on any disk."""


ABOVE = 100_000.0
"""A price from which nothing that can be left off takes a machine below 0."""


@dataclass(frozen=True)
class Writer:
    """A way of writing: its n-th write, and the number of the write that a folder now shows."""

    begin: Callable[[Path], None]
    write: Callable[[Path, int], None]
    state: Callable[[Path], int]


def _save(folder: Path, number: int) -> None:
    """Machine, growth and paying change together."""
    case = read_case(folder)
    machine = case.machine.model_copy(update={"base_price": ABOVE + float(number)})
    growth = case.growth.model_copy(update={"seed": number})
    write_case(case.model_copy(update={"machine": machine, "growth": growth}), folder)


def _saved(folder: Path) -> int:
    case = read_case(folder)
    assert case.machine.base_price == ABOVE + case.growth.seed, "half of a save"
    assert not (folder / MARK).exists()
    return case.growth.seed


def _decide(folder: Path, number: int) -> None:
    record(folder, sealed(str(number)))


def _pay(folder: Path, number: int) -> None:
    record(folder, PaidFact(date=date(2027, 3, 1), cents=-number, kind="site"))


def _recorded(folder: Path) -> int:
    found = read_record(folder)
    assert found.damage == ()
    numbers = [int(one.note) for one in found.decisions.values()]
    numbers += [-fact.cents for fact in found.facts if isinstance(fact, PaidFact)]
    assert numbers == list(range(1, len(numbers) + 1)), "a line is missing"
    return len(numbers)


def _paper(folder: Path, number: int) -> None:
    write_files_atomically(folder, {"report.pdf": str(number).encode() * 20_000})


def _papered(folder: Path) -> int:
    text = (folder / "report.pdf").read_bytes().decode()
    number = text[: len(text) // 20_000]
    assert text == number * 20_000
    return int(number)


def _start(folder: Path, number: int) -> None:
    write_starter(folder / str(number))


def _started(folder: Path) -> int:
    made = [path for path in folder.iterdir() if path.is_dir()]
    whole = []
    for path in made:
        settle(path)
        seen = {file.name for file in path.iterdir() if not file.name.startswith(PREFIX)}
        assert seen in (set(), set(NAMES)), "half of a case"
        whole += [int(path.name)] * bool(seen)
    return max(whole, default=0)


def _nothing(_: Path) -> None:
    pass


WRITERS = {
    "save": Writer(small_case, _save, _saved),
    "decide": Writer(_nothing, _decide, _recorded),
    "fact": Writer(_nothing, _pay, _recorded),
    "paper": Writer(_nothing, _paper, _papered),
    "new": Writer(_nothing, _start, _started),
}


def acknowledged_while_killed(name: str, count: int, folder: Path) -> int:
    """Writes that were acknowledged while so many writers of one kind were killed.

    What each of them left is looked at.
    """
    writer, chance = WRITERS[name], random.Random(7)  # noqa: S311 - moments of killing
    writer.begin(folder)
    started = time.perf_counter()
    for number in range(1, TIMED + 1):
        writer.write(folder, number)
    longest = 3 * (time.perf_counter() - started) / TIMED
    before, in_all = writer.state(folder), 0
    assert before == TIMED
    for number in range(count):
        # Every second one is killed after its first write, however slow the machine is.
        moment, written = chance.uniform(0, longest), number % 2 == 0
        acknowledged = _killed(writer, folder, before + 1, moment=moment, written=written)
        after = writer.state(folder)
        last = before + acknowledged
        assert last <= after <= last + 1, f"{last} were acknowledged, {after} are there"
        in_all += acknowledged
        before = after
    _leave_nothing(folder)
    return in_all


def _killed(writer: Writer, folder: Path, first: int, *, moment: float, written: bool) -> int:
    """Writes that a child had acknowledged before it was killed."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _write_on(writer, folder, first, writing)
    os.close(writing)
    seen = os.read(reading, 1) if written else b""
    time.sleep(moment)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status), "the writer failed by itself"
    with os.fdopen(reading, "rb") as told:
        return len(seen) + len(told.read())


def _write_on(writer: Writer, folder: Path, number: int, tell: int) -> None:
    try:
        while True:
            writer.write(folder, number)
            os.write(tell, b".")
            number += 1
    finally:
        os._exit(1)


def _leave_nothing(folder: Path) -> None:
    """What the dead have left is swept once it is an hour old."""
    long_ago = time.time() - 7200
    for path in folder.rglob(f"{PREFIX}*"):
        os.utime(path, (long_ago, long_ago))
    for place in {folder, *(path for path in folder.iterdir() if path.is_dir())}:
        settle(place)
        write_files_atomically(place, {"last": b"last"})
    left = [path.name for path in folder.rglob(f"{PREFIX}*")]
    assert left == [], left
