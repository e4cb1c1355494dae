"""Every way of writing, and what has to hold whatever happens in the middle of it."""

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from optioneer.app.engine.drafts import Draft, Store
from optioneer.errors import RequestError
from optioneer.files.case.read import read_case
from optioneer.files.case.starter import write_starter
from optioneer.files.case.texts import folder_fingerprint, folder_texts, save_texts
from optioneer.files.case.write import write_case, write_new_case
from optioneer.files.plain.atomic import PREFIX, write_text_atomically
from optioneer.files.record.entries import read_record, record
from optioneer.files.saving.commit import write_files_atomically
from optioneer.study.record.decide import plan_to_compare
from optioneer.study.record.facts import PaidFact, Sealed, Withdrawn
from tests import shop
from tests.files.saving.faults import KILLED, Kind, Points, faulty, forked
from tests.study.dealer.test_questions import ADVISED

UNCHANGED = ("the old text is whole", "othing was changed", "cannot be made", "othing was written")
"""What is said when nothing was changed."""


@dataclass(frozen=True)
class Writer:
    """A way of writing.

    Parameters
    ----------
    begin
        Makes what is there before.
    act
        Writes.
    state
        What a reader sees; must be that of before or that of after.
    """

    begin: Callable[[Path], None]
    act: Callable[[Path], None]
    state: Callable[[Path], object]


def texts(folder: Path) -> object:
    """What a reader of the case sees."""
    return folder_texts(folder) if folder.is_dir() and _seen(folder) else None


def _seen(folder: Path) -> list[str]:
    return [path.name for path in folder.iterdir() if not path.name.startswith(".")]


def _save(folder: Path) -> None:
    found = folder_texts(folder)
    new = {name: f"{text}\n# after\n" for name, text in found.items() if name != "site.toml"}
    save_texts(new, folder, opened=folder_fingerprint(folder))


def _keep(folder: Path) -> None:
    case = read_case(folder)
    machine = case.machine.model_copy(update={"base_price": 999_000.0})
    growth = case.growth.model_copy(update={"seed": 99})
    write_case(case.model_copy(update={"machine": machine, "growth": growth}), folder, keep=True)


def sealed(note: str = "") -> Sealed:
    case, advice = shop.case(), shop.advice()
    return Sealed(
        time=datetime(2026, 11, 25, tzinfo=UTC),
        version="1",
        case="demo",
        currency="USD",
        fingerprint="0" * 64,
        note=note,
        inputs=SMALL,
        package=advice.advised,
        advice=advice,
        planned=plan_to_compare(case, ADVISED, advice.advised.options, advice),
    )


def _pay(folder: Path) -> None:
    record(folder, PaidFact(date=date(2027, 3, 1), cents=-5, kind="site"))


def recorded(folder: Path) -> object:
    found = read_record(folder)
    assert found.damage == ()
    return found.entries


SMALL = {
    "machine.toml": """call_out = { default = 400.0 }

[machine]
name = "Small"
kind = "mill"
base_price = 80000.0
currency = "EUR"
margin_per_day = 900.0

[dates]
order = 2027-05-03
""",
    "options.csv": """option,name,price,fitting,multiplier_low,multiplier_likely,multiplier_high
probe,Probe,4600,retrofittable,1.2,1.4,2
door,Door,3600,factory-only,,,
""",
    "growth.toml": """horizon_years = 6
discount_rate = 0.09
seed = 7

[[stream]]
id = "night"
name = "Night work"
chance = 0.4
years = [1.0, 2.0, 4.0]
margin = [9000.0, 12000.0, 20000.0]

[[stream.way]]
options = ["door"]
""",
    "paying.toml": """[account]
opening = 40000.0
""",
    "site.toml": """[calendar]
country = "AT"
""",
    "sources.csv": """key,source,value,who,date,note
machine/base_price,quoted,80000,,2026-11-02,
""",
}
"""A case in which every file stands with something in it: how long it is moves no write point."""


def small_case(folder: Path) -> None:
    """Make a case of `SMALL`."""
    folder.mkdir(exist_ok=True)
    for name, text in SMALL.items():
        (folder / name).write_text(text, encoding="utf-8")


def _case(folder: Path) -> None:
    small_case(folder / "case")


def _shown(folder: Path) -> object:
    file = folder / "paper"
    return file.read_bytes() if file.exists() else None


DRAFT = Draft("d" * 24, "mill", {"machine.toml": "a = 1\n"}, {})


def _store(folder: Path) -> Store:
    return Store(folder / "drafts")


WRITERS = {
    "save": Writer(_case, lambda f: _save(f / "case"), lambda f: texts(f / "case")),
    "keep": Writer(_case, lambda f: _keep(f / "case"), lambda f: texts(f / "case")),
    "starter": Writer(
        lambda _: None, lambda f: write_starter(f / "new"), lambda f: texts(f / "new")
    ),
    "new case": Writer(
        _case,
        lambda f: write_new_case(read_case(f / "case"), f / "new"),
        lambda f: texts(f / "new"),
    ),
    "paper": Writer(
        lambda f: (f / "paper").touch(),
        lambda f: write_files_atomically(f, {"paper": b"a paper"}),
        _shown,
    ),
    "answer": Writer(
        lambda f: (f / "paper").touch(),
        lambda f: write_text_atomically(f / "paper", "an answer"),
        _shown,
    ),
    "decide": Writer(_pay, lambda f: _done(record(f, sealed("second"))), recorded),
    "paid": Writer(lambda _: None, _pay, recorded),
    "withdraw": Writer(
        _pay, lambda f: _done(record(f, Withdrawn(note="slip"), corrects=1)), recorded
    ),
    "draft": Writer(
        lambda f: _store(f).put(DRAFT),
        lambda f: _done(
            _store(f).exchange(DRAFT.with_texts({"machine.toml": "b = 2\n"}), seen=DRAFT)
        ),
        lambda f: _store(f).get(DRAFT.id),
    ),
}


def _done(_: object) -> None:
    pass


def points_of(name: str, place: Path) -> int:
    """How many write points a way of writing has."""
    points = Points(Kind("EIO"), 0)
    folder = _fresh(WRITERS[name], place)
    with faulty(points):
        WRITERS[name].act(folder)
    return points.seen


def _fresh(writer: Writer, place: Path) -> Path:
    """A folder with what is there before; made once, then copied."""
    beginning = place.with_name("beginning")
    if not beginning.exists():
        beginning.mkdir()
        writer.begin(beginning)
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(beginning, place)
    return place


def hold(name: str, kind: Kind, at: int, *, place: Path, folders_sync: bool) -> None:
    """Let something happen at one write point, and check what is left.

    The old state or the new one, never between; what was acknowledged stays; what is said to be
    unchanged is; and nobody but the user's mistakes and Ctrl-C comes out.
    """
    writer = WRITERS[name]
    folder = _fresh(writer, place)
    old, new = _states(name, place)
    points = Points(kind, at)
    said = _tried(writer, folder, points, folders_sync=folders_sync)
    left = writer.state(folder)
    assert left in {0: (old, new), 1: (new,), 2: (old,)}[said], (name, kind, at, said)
    assert all(path.name.startswith(PREFIX) for path in folder.rglob(".*"))


_STATES: dict[str, tuple[object, object]] = {}


def _states(name: str, place: Path) -> tuple[object, object]:
    """The old state and the new one, read once: every folder is a copy of the same beginning."""
    if name not in _STATES:
        beside = _fresh(WRITERS[name], place.with_name("states"))
        old = WRITERS[name].state(beside)
        WRITERS[name].act(beside)
        _STATES[name] = old, WRITERS[name].state(beside)
    return _STATES[name]


def _tried(writer: Writer, folder: Path, points: Points, *, folders_sync: bool) -> int:
    """0: no word was given, 1: it was acknowledged, 2: it was said to be unchanged."""
    with faulty(points, folders_sync=folders_sync):
        if points.kind.what == "death":
            code = forked(lambda: writer.act(folder))
            assert code in {0, KILLED}
            return int(code == 0)
        try:
            writer.act(folder)
        except KeyboardInterrupt:
            assert points.kind.what in {"interrupt", "signal"}
            return 0
        except RequestError as error:
            assert points.kind.what.startswith("E")
            writer.state(folder)  # also while the fault lasts it can be read
            return 2 if any(words in str(error) for words in UNCHANGED) else 0
    return 1
