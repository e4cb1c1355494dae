"""One word an idea: names that people see use the words of the trade chosen for this project."""

import ast
from collections.abc import Iterator

import pytest

from tests.test_layers import MODULES

INSTEAD_OF = {
    "feature": "option",
    "accessory": "option",
    "addon": "option",
    "configuration": "package",
    "combination": "package",
    "scenario": "future",
    "job": "stream",
    "demand": "stream",
    "npv": "npc (net present cost)",
    "recommendation": "verdict",
    "upgrade": "retrofit",
    "startup": "first chips",
}
"""Words that are not used in names, and the ones that are."""

GLOSSARY = (
    "case",
    "option",
    "slot",
    "multiplier",
    "call_out",
    "package",
    "bundle",
    "driver",
    "stream",
    "way",
    "fallback",
    "future",
    "npc",
    "verdict",
    "first_chips",
)
"""Words that names do use: each of them names a public field or parameter."""


def public_names(tree: ast.Module) -> Iterator[str]:
    """Parameters of public functions and fields of public classes."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node.name
            yield from (a.arg for a in (*node.args.args, *node.args.kwonlyargs))
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            fields = (item for item in node.body if isinstance(item, ast.AnnAssign))
            yield from (f.target.id for f in fields if isinstance(f.target, ast.Name))


NAMES = {module: set(public_names(tree)) for module, tree in MODULES.items()}


@pytest.mark.parametrize("module", MODULES)
def test_public_names_use_the_words_of_the_glossary(module: str) -> None:
    parts = {part.rstrip("s") for name in NAMES[module] for part in name.split("_")}
    assert {word: INSTEAD_OF[word] for word in parts & INSTEAD_OF.keys()} == {}


@pytest.mark.parametrize("word", GLOSSARY)
def test_every_word_of_the_glossary_is_in_use(word: str) -> None:
    everywhere = set().union(*NAMES.values())
    assert {word, f"{word}s"} & everywhere
