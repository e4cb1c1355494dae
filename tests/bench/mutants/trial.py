"""One change after another put before the tests that run the changed block."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import takewhile

import pytest

from tests.bench.mutants.changes import Change
from tests.bench.mutants.children import in_child
from tests.bench.mutants.code import ROOT, Loaded, Source, block_name
from tests.bench.mutants.reach import Reach, passes
from tests.bench.mutants.results import Result, Results, mark_of

NEARER = 0.2
"""What a test counts for each room that it shares with what is changed: the less, the sooner."""

NAMED = 2
"""As many rooms as a test is nearer whose file takes something from what is changed itself."""

ENDLESS = "(does not end, or ends the process)"


@dataclass(frozen=True)
class Verdict:
    """What came of one change.

    Parameters
    ----------
    change
        The change.
    module
        Where it is.
    killer
        First test that fails; none: all pass.
    tests, tried
        How many tests run the changed block, and how many of them were tried.
    """

    change: Change
    module: str
    killer: str | None
    tests: int
    tried: int


@dataclass
class Bench:
    """The tests of this process, and who runs what.

    Parameters
    ----------
    items
        Tests by name.
    here
        The package as it is loaded.
    reach
        Who runs what.
    seconds
        A change that outlives tests of so long in all survives [s].
    results
        What is known from earlier runs.
    anew
        Whether to try again what is known.
    """

    items: Mapping[str, pytest.Item]
    here: Loaded
    reach: Reach
    seconds: float
    results: Results
    anew: bool = False
    killers: dict[str, dict[str, int]] = field(default_factory=dict)

    def verdict(self, source: Source, change: Change) -> Verdict | None:
        """What comes of a change; none when it leaves the same code."""
        code = source.compiled(change)
        where = (str(source.file), change.function, change.line)
        if code is None or where not in self.here.functions:
            return None
        block = f"{source.file.stem}:{block_name(change.function, change.block)}"
        known = [test for test in self.reach.tests.get(block, ()) if test in self.items]
        mark = mark_of(source, change)
        before = None if self.anew else self.results.known(mark, known)
        tried = before.tried if before else ()
        chosen = [test for test in self._chosen(source, block, known) if test not in tried]
        if before and (before.killer or not chosen):
            return Verdict(change, source.module, before.killer, before.tests, len(tried))

        def act() -> str | None:
            self.here.replace(where, code)
            tests = [self.items[test] for test in chosen]
            for item, following in zip(tests, [*tests[1:], None], strict=True):
                if not passes(item, following):
                    return item.nodeid
            return ""

        files = {test.split("::")[0] for test in chosen}
        usual = sum(self.reach.seconds[test] for test in chosen)
        usual += sum(self.reach.first[file] for file in files)
        told = in_child(act, cpu=5 + 4 * usual) if chosen else ""
        killer = ENDLESS if told is None else told or None
        if told:
            mine = self.killers.setdefault(change.function, {})
            mine[told] = mine.get(told, 0) + 1
        result = Result(killer, len(known), (*tried, *chosen))
        self.results.keep(mark, result)
        return Verdict(change, source.module, killer, len(known), len(result.tried))

    def _chosen(self, source: Source, block: str, known: Sequence[str]) -> list[str]:
        """The tests to try, in order: what killed before, then short ones of many files.

        Those that take something from the source, or stand where it does, come first: they were
        written for it.
        """
        function = block.split(":")[1].split("#", maxsplit=1)[0]
        killed = self.killers.get(function, {})
        place: dict[str, int] = {}
        rank = {}
        for test in known:
            file = test.split("::")[0]
            place[file] = place.get(file, 0) + 1
            alone = self.reach.seconds[test] + self.reach.first[file]
            cost = alone * place[file] ** 0.5
            nearness = shared_rooms(source, file) + NAMED * names(file, source.module)
            rank[test] = (-killed.get(test, 0), cost * NEARER**nearness)
        chosen, total, begun = list[str](), 0.0, set[str]()
        for test in sorted(known, key=lambda one: rank[one]):
            file = test.split("::")[0]
            total += self.reach.seconds[test] + self.reach.first[file] * (file not in begun)
            begun.add(file)
            if chosen and total > self.seconds:
                break
            chosen.append(test)
        return chosen


def shared_rooms(source: Source, file: str) -> int:
    """How many rooms, one in the other, a source and a file of tests have in common."""
    rooms = source.module.split(".")[1:-1]
    pairs = zip(rooms, file.split("/")[1:-1], strict=False)
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], pairs))


@cache
def names(file: str, module: str) -> bool:
    """Whether a file of tests takes something from this very module."""
    return f"from {module} import " in (ROOT / file).read_text(encoding="utf-8")
