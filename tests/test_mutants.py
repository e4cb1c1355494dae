"""The bench of small changes: what it changes, and that its sample stays the same one."""

import ast
from pathlib import Path
from types import FunctionType

import pytest

from tests.bench.mutants.__main__ import kept_reasons, key, score, told
from tests.bench.mutants.changes import Change, changes_of
from tests.bench.mutants.code import Loaded, Source, ranked
from tests.bench.mutants.results import Result, Results, mark_of
from tests.bench.mutants.trial import Verdict

HOURS = '''
def paid(hours, rate, *, least=8):
    """Wages: at least a day's."""
    if hours < 0:
        raise ValueError("hours are 0 or more")
    return max(hours, least) * rate
'''


def said(text: str) -> set[tuple[str, str]]:
    return {(change.was, change.becomes) for change in changes_of(ast.parse(text))}


def test_a_bound_a_term_and_a_branch_are_changed_and_words_for_people_are_not() -> None:
    found = said(HOURS)
    assert found == {
        ("hours < 0", "hours <= 0"),
        ("hours < 0", "hours < 1"),
        ("if hours < 0:", "if True:"),
        ("if hours < 0:", "if False:"),
        ("return max(hours, least) * rate", "return max(hours, least) / rate"),
        ("return max(hours, least) * rate", "return max(hours, least)"),
        ("return max(hours, least) * rate", "return rate"),
        ("return max(hours, least) * rate", "return min(hours, least) * rate"),
        ("return max(hours, least) * rate", "return hours * rate"),
    }


@pytest.mark.parametrize(
    ("line", "changed"),
    [
        ("total += cost", {"total -= cost", "total = cost", "pass"}),
        ("return a and b", {"return a or b", "return a", "return b"}),
        ("return -a", {"return a"}),
        ("return paid(a, b)", {"return paid(b, a)"}),
        ("return a - b", {"return a + b", "return a", "return -b"}),
        ("return [x for x in a if b]", {"return [x for x in a]"}),
        ("kept[a] = b", {"pass"}),
        ("return 0.5", {"return 0.75"}),
        ("return True", {"return False"}),
    ],
)
def test_what_a_slip_of_the_pen_makes_of_a_line(line: str, changed: set[str]) -> None:
    found = said(f"def one(a, b, total, cost, kept):\n    {line}\n")
    assert {becomes for _, becomes in found} == changed


def sample(folder: Path, name: str, text: str) -> list[tuple[str, str, str]]:
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return [key(change) for _, change in ranked([Source(file)], seed=1)]


def test_the_sample_stays_when_a_file_moves_or_another_function_comes(tmp_path: Path) -> None:
    first = sample(tmp_path, "here.py", HOURS)
    other = "def other(a):\n    return a + 1\n"
    both = sample(tmp_path, "there.py", other + HOURS)
    assert [change for change in both if change[0] == "paid"] == first
    assert len({*first}) == len(first)


def test_a_changed_function_does_otherwise_however_it_is_decorated(tmp_path: Path) -> None:
    file = tmp_path / "one.py"
    file.write_text(HOURS, encoding="utf-8")
    names: dict[str, FunctionType] = {}
    exec(compile(HOURS, str(file), "exec"), names)  # noqa: S102 - the few lines above
    paid, source = names["paid"], Source(file)
    change = next(c for c in source.changes if c.becomes == "return min(hours, least) * rate")
    code = source.compiled(change)
    assert code is not None
    where = (str(file), "paid", change.line)
    Loaded({where: [paid]}).replace(where, code)
    assert paid(10, 3) == 24
    assert source.compiled(change) == code, "the tree is put back"


def test_what_came_of_a_change_is_kept_by_its_content(tmp_path: Path) -> None:
    file = tmp_path / "hours.py"
    file.write_text(HOURS, encoding="utf-8")
    source, kept = Source(file), Results(tmp_path / "results.jsonl")
    first, second = (mark_of(source, change) for change in source.changes[:2])
    kept.keep(first, Result("tests/a.py::one", 3, ("tests/a.py::one",)))
    kept.keep(second, Result(None, 2, ("tests/a.py::one",)))
    again = Results(tmp_path / "results.jsonl")
    assert again.known(first, ["tests/a.py::one"]) == Result(
        "tests/a.py::one", 3, ("tests/a.py::one",)
    )
    assert again.known(first, ["tests/b.py::two"]) is None  # who noticed it is gone
    survivor = again.known(second, ["tests/b.py::two"])
    assert survivor is not None
    assert survivor.killer is None


def test_a_change_is_another_one_when_its_function_is(tmp_path: Path) -> None:
    (tmp_path / "one.py").write_text("# moved\n" + HOURS, encoding="utf-8")
    (tmp_path / "two.py").write_text(HOURS, encoding="utf-8")
    (tmp_path / "three.py").write_text(HOURS.replace("least=8", "least=7"), encoding="utf-8")
    marks = [
        [mark_of(source, change) for change in source.changes]
        for source in (Source(tmp_path / f"{name}.py") for name in ("one", "two", "three"))
    ]
    assert marks[0] == marks[1]
    assert len(set(marks[0])) == len(marks[0])
    assert not set(marks[0]) & set(marks[2])


def test_the_score_leaves_out_what_makes_no_difference_and_nothing_else() -> None:
    (same, why), *_ = kept_reasons("equivalent").items()
    (left, other), *_ = kept_reasons("left").items()

    def verdict(name: tuple[str, str, str], killer: str | None) -> Verdict:
        change = Change(name[0], 1, 0, name[1], name[2], (ast.Pass(), "", None), ast.Pass())
        return Verdict(change, "optioneer.money.one", killer, 3, 3)

    new = ("one", "a < b", "a <= b")
    verdicts = [verdict(same, None), verdict(left, None), verdict(new, None), verdict(new, "test")]
    assert score(verdicts) == (1, 3)
    page = told(verdicts)
    assert why in page
    assert other in page
    assert "4 changes: 1 noticed, 1 make no difference, 2 not noticed; score 1 of 3, 33.3%" in page
    assert score([*verdicts, verdict(same, "test")]) == (2, 4)
