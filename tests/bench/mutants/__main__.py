"""The share of small changes to the sums that some test notices, and those that none does.

Not part of an ordinary run. On one core, in about half an hour::

    python -m tests.bench.mutants

``--count`` and ``--first`` take another portion of the same seeded order, ``--seed`` another order,
``--only WORD`` changes in files or functions of that name, ``--again`` those that survived the last
run. What each test runs is traced first and kept in ``.mutants`` until code or tests change;
``--keep`` takes what is kept of files of tests that are the same, though code has changed since.

What came of a change is kept as it comes, by the content of its function: a run that was stopped
goes on where it was, and one after new tests puts survivors before those alone.

A change survives when the tests that run its block pass, or as many as fit into ``--seconds``
of processor time. Survivors that nothing could notice, and those that are left, stand with the
reason in ``kept.toml``.
"""

import argparse
import gc
import json
import os
import sys
import tomllib
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.bench.mutants.changes import Change
from tests.bench.mutants.children import folder_for_children
from tests.bench.mutants.code import ROOT, Source, loaded, ranked, sources
from tests.bench.mutants.reach import reach_of
from tests.bench.mutants.results import Results
from tests.bench.mutants.trial import Bench, Verdict

Key = tuple[str, str, str]
"""Function, what stood there, what stands there: a change, wherever its file is."""

ELSEWHERE = ("app", "browser", "bench", "cli/test_process.py", "cli/test_end_to_end.py")
"""Tests that are not run: they drive the sums in another process, where nothing is changed."""


def key(change: Change) -> Key:
    """What a change is known by."""
    return change.function, change.was, change.becomes


def asked(arguments: Sequence[str]) -> argparse.Namespace:
    """The options of the command."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.mutants", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("tests", nargs="*", default=["tests"], help="files or folders of tests")
    parser.add_argument("--count", type=int, default=600, help="changes tried (600)")
    parser.add_argument("--first", type=int, default=0, help="changes passed over before (0)")
    parser.add_argument("--seed", type=int, default=1, help="of the order (1)")
    parser.add_argument("--seconds", type=float, default=20.0, help="tests a change (20)")
    parser.add_argument("--only", default="", help="file or function")
    parser.add_argument("--again", action="store_true", help="survivors of the last run")
    parser.add_argument("--keep", action="store_true", help="the kept tracing")
    return parser.parse_args(arguments)


def kept_reasons(kind: str) -> dict[Key, str]:
    """Reasons of the file `kept.toml` by change."""
    told = tomllib.loads((Path(__file__).parent / "kept.toml").read_text(encoding="utf-8"))
    return {(one["function"], one["was"], one["becomes"]): one["why"] for one in told.get(kind, [])}


class Mutants:
    """What pytest does here instead of running the tests it has found."""

    def __init__(self, options: argparse.Namespace, folder: Path) -> None:
        self.options, self.folder = options, folder
        self.verdicts: list[Verdict] = []

    def pytest_configure(self) -> None:
        """Let hypothesis draw the same examples each time, and remember none."""
        from hypothesis import HealthCheck, Phase, settings  # noqa: PLC0415 - after its plugin

        settings.register_profile(
            "mutants",
            derandomize=True,
            database=None,
            deadline=None,
            phases=[Phase.explicit, Phase.generate],  # the smallest example is nobody's question
            suppress_health_check=[HealthCheck.too_slow],
        )
        settings.load_profile("mutants")

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Trace the tests, then put every change of the sample before them."""
        files = sources()
        here = loaded(files)
        gc.collect()
        gc.freeze()  # children look through what is theirs alone, and share the rest
        options = self.options
        reach = reach_of(
            session.items,
            files,
            here,
            self.folder / "reach.json",
            keep=options.keep,
            seconds=options.seconds,
        )
        for test in reach.failing:
            say(f"fails, or takes too long, before anything is changed: {test}")
        items = {item.nodeid: item for item in session.items}
        results = Results(self.folder / "results.jsonl")
        bench = Bench(items, here, reach, options.seconds, results, anew=options.again)
        for source, change in self._sample(files):
            verdict = bench.verdict(source, change)
            if verdict is not None:
                self.verdicts.append(verdict)
                self._tell(verdict)
        return True

    def _sample(self, files: Sequence[Source]) -> Sequence[tuple[Source, Change]]:
        """The portion of the seeded order that was asked for."""
        options = self.options
        order = [
            (source, change)
            for source, change in ranked(files, seed=options.seed)
            if options.only in f"{source.module}.{change.function}"
        ][options.first : options.first + options.count]
        if not options.again:
            return order
        last = {tuple(one) for one in json.loads(self._survivors.read_text(encoding="utf-8"))}
        return [(source, change) for source, change in order if key(change) in last]

    @property
    def _survivors(self) -> Path:
        return self.folder / "survivors.json"

    def _tell(self, verdict: Verdict) -> None:
        """Keep the survivors so far, and say how far it is."""
        alive = [key(one.change) for one in self.verdicts if one.killer is None]
        self._survivors.write_text(json.dumps(alive), encoding="utf-8")
        mark = "." if verdict.killer else f" {verdict.change.function} "
        print(mark, end="", flush=True)  # noqa: T201 - a command


def say(text: str) -> None:
    """A line to the person at the terminal."""
    print(text, flush=True)  # noqa: T201 - a command


def score(verdicts: Sequence[Verdict]) -> tuple[int, int]:
    """How many changes are noticed, and how many there are that make a difference."""
    same = kept_reasons("equivalent")
    counted = [one for one in verdicts if one.killer or key(one.change) not in same]
    return sum(one.killer is not None for one in counted), len(counted)


def told(verdicts: Sequence[Verdict]) -> str:
    """The score, and the survivors with the reasons known."""
    same, left = kept_reasons("equivalent"), kept_reasons("left")
    alive = [one for one in verdicts if one.killer is None]
    equal = [one for one in alive if key(one.change) in same]
    others = [one for one in alive if key(one.change) not in same]
    wrong = [one for one in verdicts if one.killer and key(one.change) in same]
    killed, counted = score(verdicts)
    lines = [f"-- no difference to anybody ({len(equal)})"]
    lines += [_line(one, same.get(key(one.change), "")) for one in equal]
    lines += [f"-- not noticed ({len(others)})"]
    lines += [_line(one, left.get(key(one.change), "no reason known")) for one in others]
    lines += [f"said to make no difference, but killed: {_line(one, '')}" for one in wrong]
    rooms = Counter(one.module.split(".")[1] for one in verdicts)
    lost = Counter(one.module.split(".")[1] for one in others)
    lines += [f"-- {room}: {lost[room]} of {rooms[room]} not noticed" for room in sorted(rooms)]
    lines.append(
        f"{len(verdicts)} changes: {killed} noticed, {len(equal)} make no difference, "
        f"{len(others)} not noticed; score {killed} of {counted}, {killed / max(counted, 1):.1%}"
    )
    return "\n".join(lines)


def _line(one: Verdict, why: str) -> str:
    change = one.change
    ran = f"{one.tried} of {one.tests} tests" if one.tests else "no test runs it"
    return (
        f"{one.module}, {change.function} ({ran})\n    was     {change.was}\n"
        f"    becomes {change.becomes}" + (f"\n    why     {why}" if why else "")
    )


def main(arguments: Sequence[str]) -> int:
    """Run the command; 0 when nine of ten changes that make a difference are noticed, else 1."""
    options = asked(arguments)
    os.chdir(ROOT)
    folder = folder_for_children()
    mutants = Mutants(options, folder)
    plain = ["-o", "addopts=", "-s", "-q", "-p", "no:cacheprovider", "-p", "no:xdist"]
    ignored = [f"--ignore=tests/{name}" for name in ELSEWHERE]
    pytest.main(
        [*plain, *ignored, f"--basetemp={folder / 'tmp'}", *options.tests],
        plugins=[mutants],
    )
    text = told(mutants.verdicts)
    (folder / "report.txt").write_text(text + "\n", encoding="utf-8")
    say("\n" + text)
    killed, counted = score(mutants.verdicts)
    return int(10 * killed < 9 * counted)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
