"""Shape: how long functions and files may get."""

import ast

from tests.test_layers import ROOT, modules, nodes_of

LONGEST_FUNCTION, LONGEST_FILE = 40, 400


def lines_of_code(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of the body, docstring not counted."""
    body = function.body[1:] if ast.get_docstring(function) else function.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def test_no_function_is_too_long() -> None:
    lines = {
        f"{module}.{node.name}": lines_of_code(node)
        for module, tree in modules().items()
        for node in nodes_of(tree)
        if isinstance(node, ast.FunctionDef)
    }
    assert {name: count for name, count in lines.items() if count > LONGEST_FUNCTION} == {}


def test_no_file_is_too_long() -> None:
    lines = {
        module: max((node.end_lineno or 0 for node in tree.body), default=0)
        for module, tree in modules().items()
    }
    assert {module: count for module, count in lines.items() if count > LONGEST_FILE} == {}


def test_no_file_of_tests_is_too_long() -> None:
    files = (ROOT / "tests").rglob("*.py")
    lines = {file.name: len(file.read_text(encoding="utf-8").splitlines()) for file in files}
    assert {name: count for name, count in lines.items() if count > LONGEST_FILE} == {}
