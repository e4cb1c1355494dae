"""Sums of the site are there because an answer needs them."""

import ast

from tests.test_layers import MODULES, nodes_of, room

SUMS = [
    node.name
    for module, tree in MODULES.items()
    if room(module) == "site"
    for node in tree.body
    if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
]


def test_there_are_sums() -> None:
    assert len(SUMS) > 20


def test_every_public_sum_of_the_site_has_a_caller() -> None:
    used = {
        node.attr if isinstance(node, ast.Attribute) else node.id
        for tree in MODULES.values()
        for node in nodes_of(tree)
        if isinstance(node, ast.Attribute | ast.Name)
    }
    assert [name for name in SUMS if name not in used] == []
