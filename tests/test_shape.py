"""Shape: how long functions and files may get."""

import ast

import pytest

from tests.test_layers import MODULES, ROOT

LONGEST_FUNCTION, LONGEST_FILE = 40, 400


def lines_of_code(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of the body, docstring not counted."""
    body = function.body[1:] if ast.get_docstring(function) else function.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


@pytest.mark.parametrize("module", MODULES)
def test_no_function_is_too_long(module: str) -> None:
    functions = [n for n in ast.walk(MODULES[module]) if isinstance(n, ast.FunctionDef)]
    assert {f.name for f in functions if lines_of_code(f) > LONGEST_FUNCTION} == set()


@pytest.mark.parametrize("module", MODULES)
def test_no_file_is_too_long(module: str) -> None:
    lines = [node.end_lineno or 0 for node in MODULES[module].body]
    assert max(lines, default=0) <= LONGEST_FILE


def test_no_file_of_tests_is_too_long() -> None:
    files = (ROOT / "tests").rglob("*.py")
    lines = {file.name: len(file.read_text(encoding="utf-8").splitlines()) for file in files}
    assert {name: count for name, count in lines.items() if count > LONGEST_FILE} == {}
