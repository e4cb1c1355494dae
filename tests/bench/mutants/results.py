"""What came of changes, kept as it comes: a run that was stopped goes on where it was."""

import ast
import json
from collections.abc import Collection
from dataclasses import asdict, dataclass
from functools import cache
from hashlib import sha256
from pathlib import Path

from tests.bench.mutants.changes import Change, functions
from tests.bench.mutants.code import Source


@dataclass(frozen=True)
class Result:
    """What came of one change.

    Parameters
    ----------
    killer
        First test that failed; none: all passed.
    tests
        How many tests ran the changed block.
    tried
        Those that were tried, as long as none failed.
    """

    killer: str | None
    tests: int
    tried: tuple[str, ...]


class Results:
    """Results by the content of function and change, wherever they stand.

    A change that a test noticed is noticed still while its function is the same and that test is
    there; one that none did is put before the tests that are new to it.
    """

    def __init__(self, file: Path) -> None:
        self._file = file
        self._known: dict[str, Result] = {}
        if file.exists():
            for line in file.read_text(encoding="utf-8").splitlines():
                told = json.loads(line)
                mark, tried = told.pop("mark"), tuple(told.pop("tried"))
                self._known[mark] = Result(tried=tried, **told)

    def known(self, mark: str, tests: Collection[str]) -> Result | None:
        """What is known of a change that these tests run; none: nothing that holds still."""
        result = self._known.get(mark)
        if result is None or result.killer is None or "::" not in result.killer:
            return result
        return result if result.killer in tests else None

    def keep(self, mark: str, result: Result) -> None:
        """Keep what came of a change."""
        self._known[mark] = result
        with self._file.open("a", encoding="utf-8") as lines:
            lines.write(json.dumps({"mark": mark, **asdict(result)}) + "\n")


def mark_of(source: Source, change: Change) -> str:
    """What tells one change from every other, and changes with the function that it is in."""
    alike = [one for one in source.changes if _said(one) == _said(change)]
    number = next(i for i, one in enumerate(alike) if one is change)
    text = _texts(source).get(change.function, "")
    said = "\n".join((*_said(change), str(number), text))
    return sha256(said.encode()).hexdigest()[:24]


def _said(change: Change) -> tuple[str, str, str]:
    return change.function, change.was, change.becomes


@cache
def _texts(source: Source) -> dict[str, str]:
    """The functions of a file as text, without comments."""
    return {name: ast.unparse(function) for name, function in functions(source.tree)}
