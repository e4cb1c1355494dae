"""Sums of the site are there because an answer needs them."""

import ast

from tests.test_layers import modules, nodes_of, room


def sums() -> list[str]:
    return [
        node.name
        for module, tree in modules().items()
        if room(module) == "site"
        for node in tree.body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    ]


def test_there_are_sums() -> None:
    assert len(sums()) > 20


def test_every_public_sum_of_the_site_has_a_caller() -> None:
    used = {
        node.attr if isinstance(node, ast.Attribute) else node.id
        for tree in modules().values()
        for node in nodes_of(tree)
        if isinstance(node, ast.Attribute | ast.Name)
    }
    assert [name for name in sums() if name not in used] == []
