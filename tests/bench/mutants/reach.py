"""Which test runs which block of the package, and how long each test takes."""

import builtins
import functools
import gc
import json
import signal
import sys
import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from itertools import groupby
from pathlib import Path
from types import FrameType
from typing import Any

import pytest
from _pytest.runner import runtestprotocol

from tests.bench.mutants.children import in_child
from tests.bench.mutants.code import PACKAGE, REACHED, ROOT, Loaded, Source, trace

MOST_CPU = 1800
"""Processor time of one file of tests [s]."""

KEEPERS = ("import cache", 'scope="module"', "papers", "import lru_cache")
"""Words of a file whose tests share what an earlier one has worked out."""


@dataclass(frozen=True)
class Run:
    """One test: how long it takes [s], whether it passes, and the blocks that it runs."""

    seconds: float
    passed: bool
    blocks: tuple[str, ...]


@dataclass
class Reach:
    """Who runs what.

    Parameters
    ----------
    runs
        By file of tests (with a mark of its text) and test.
    """

    runs: dict[str, dict[str, Run]] = field(default_factory=dict)

    @functools.cached_property
    def tests(self) -> Mapping[str, Sequence[str]]:
        """Tests by the block that they run, the shortest first; those that fail are none."""
        found: dict[str, list[tuple[float, str]]] = {}
        for runs in self.runs.values():
            for test, run in runs.items():
                for block in run.blocks if run.passed else ():
                    found.setdefault(block, []).append((run.seconds, test))
        return {block: [test for _, test in sorted(tests)] for block, tests in found.items()}

    @functools.cached_property
    def seconds(self) -> Mapping[str, float]:
        """How long each test takes [s]."""
        return {test: run.seconds for runs in self.runs.values() for test, run in runs.items()}

    @functools.cached_property
    def first(self) -> Mapping[str, float]:
        """What the first test of a file costs more where its tests share what they need [s]."""
        most = {
            name.split()[0]: max(run.seconds for run in runs.values())
            for name, runs in self.runs.items()
            if runs
        }
        return {file: s if _shares(ROOT / file) else 0.0 for file, s in most.items()}

    @property
    def failing(self) -> tuple[str, ...]:
        """Tests that fail before anything is changed."""
        found = (one for runs in self.runs.values() for one in runs.items())
        return tuple(test for test, run in found if not run.passed)


def reach_of(
    items: Sequence[pytest.Item],
    files: Sequence[Source],
    here: Loaded,
    kept: Path,
    *,
    keep: bool,
    seconds: float,
) -> Reach:
    """What each of these tests runs, kept in a file until code or tests change.

    Parameters
    ----------
    items
        Tests, those of one file next to one another.
    files, here
        The package.
    kept
        Where it is kept.
    keep
        Take what is kept of every file of tests that is the same, though code has changed since.
    seconds
        Tests that take longer count as failing: there is no time for them [s].
    """
    code = "" if keep else _mark(_python(ROOT / PACKAGE))
    helpers = "" if keep else _mark(f for f in _python(ROOT / "tests") if f.name[:5] != "test_")
    before = _read(kept)
    reach = Reach()
    for file, tests in groupby(items, key=lambda item: item.path):
        mark = f"{file.relative_to(ROOT)} {_mark([file])}"
        full = f"{mark} {code[:12]} {helpers[:12]}".strip()
        near = (runs for name, runs in before.items() if keep and name.startswith(mark))
        runs = before.get(full) or next(near, None)
        if runs is None:
            print(f"  tracing {file.relative_to(ROOT)}", flush=True)  # noqa: T201 - a command
            shared = _shares(file)
            runs = _traced(list(tests), files, here, shared=shared, seconds=seconds)
        reach.runs[full] = runs
        done = {name.split()[0] for name in reach.runs}
        others = {name: runs for name, runs in before.items() if name.split()[0] not in done}
        _write(kept, Reach(others | reach.runs))
    return reach


def _python(folder: Path) -> list[Path]:
    return sorted(folder.rglob("*.py"))


def _mark(files: Iterable[Path]) -> str:
    return sha256(b"\n".join(file.read_bytes() for file in files)).hexdigest()[:16]


def _shares(file: Path) -> bool:
    text = file.read_text(encoding="utf-8")
    return any(word in text for word in KEEPERS)


def _traced(
    items: Sequence[pytest.Item],
    files: Sequence[Source],
    here: Loaded,
    *,
    shared: bool,
    seconds: float,
) -> dict[str, Run]:
    """The tests of one file, run in a child whose code tells where it is."""

    def act() -> dict[str, Run]:
        seen: set[str] = set()
        setattr(builtins, REACHED, seen.add)
        trace(files, here)
        runs = {}
        for item, following in zip(items, [*items[1:], None], strict=True):
            if not shared:
                seen.clear()
            _forget()
            start = time.process_time()
            passed = passes_within(item, following, seconds)
            runs[item.nodeid] = Run(time.process_time() - start, passed, tuple(sorted(seen)))
        return runs

    runs: dict[str, Run] | None = in_child(act, cpu=MOST_CPU)
    return runs or {item.nodeid: Run(0.0, passed=False, blocks=()) for item in items}


def _forget() -> None:
    """Let the package work everything out anew."""
    for thing in _caches(len(sys.modules)):
        thing.cache_clear()


@functools.lru_cache(1)
def _caches(_modules: int) -> tuple[Any, ...]:
    """Functions of the package that keep answers; looked for again once a module has come."""
    kind = type(functools.lru_cache(_python))
    gc.unfreeze()  # what is frozen is not found
    found = tuple(
        thing
        for thing in gc.get_objects()
        if isinstance(thing, kind) and (thing.__module__ or "").startswith(PACKAGE)
    )
    gc.freeze()
    return found


class TooLongError(Exception):
    """A test takes more processor time than a change is given."""


def _ended(_signal: int, _frame: FrameType | None) -> None:
    raise TooLongError


def passes_within(item: pytest.Item, following: pytest.Item | None, seconds: float) -> bool:
    """Whether a test passes here and now in so much processor time."""
    signal.signal(signal.SIGPROF, _ended)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        return passes(item, following)
    except TooLongError:
        return False
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)


def passes(item: pytest.Item, following: pytest.Item | None) -> bool:
    """Whether a test passes here and now; `following` is the one that is run next."""
    reports = runtestprotocol(item, log=False, nextitem=following)
    return not any(report.failed for report in reports)


def _read(kept: Path) -> dict[str, dict[str, Run]]:
    if not kept.exists():
        return {}
    told = json.loads(kept.read_text(encoding="utf-8"))
    names = told["blocks"]
    return {
        file: {
            test: Run(seconds, passed, tuple(names[k] for k in blocks))
            for test, (seconds, passed, blocks) in runs.items()
        }
        for file, runs in told["files"].items()
    }


def _write(kept: Path, reach: Reach) -> None:
    number: dict[str, int] = {}
    files = {
        file: {
            test: (
                round(run.seconds, 3),
                run.passed,
                [number.setdefault(block, len(number)) for block in run.blocks],
            )
            for test, run in runs.items()
        }
        for file, runs in reach.runs.items()
    }
    kept.write_text(json.dumps({"blocks": list(number), "files": files}), encoding="utf-8")
