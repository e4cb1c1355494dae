"""Sums of the site are there because an answer needs them."""

import ast
from pathlib import Path

import pytest

import optioneer

ROOT = Path(optioneer.__file__).parent
TREES = {path: ast.parse(path.read_text(encoding="utf-8")) for path in ROOT.rglob("*.py")}
SUMS = [
    node.name
    for path, tree in TREES.items()
    if path.relative_to(ROOT).parts[0] == "site"
    for node in tree.body
    if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
]
USED = {
    node.attr if isinstance(node, ast.Attribute) else node.id
    for tree in TREES.values()
    for node in ast.walk(tree)
    if isinstance(node, ast.Attribute | ast.Name)
}


def test_there_are_sums() -> None:
    assert len(SUMS) > 20


@pytest.mark.parametrize("name", SUMS)
def test_every_public_sum_of_the_site_has_a_caller(name: str) -> None:
    assert name in USED
