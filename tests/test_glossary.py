"""One word an idea: names that people see use the words of the trade chosen for this project."""

import ast
from collections import Counter
from collections.abc import Iterator
from functools import cache

from tests.test_layers import modules, nodes_of

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
    "outcome",
    "cluster",
    "lattice",
    "level",
    "signal",
    "lesson",
    "visit",
    "nudge",
    "road",
    "need",
)
"""Words that names do use: each of them names a public field or parameter."""


MORE_THAN_ONCE = {
    "Bundle": "a fact, and what the lattice makes of it in arrays",
    "Growth": "likewise",
    "Way": "likewise",
    "Shop": "likewise",
    "States": "a package as a state a cluster, in valuation and in study",
    "draw": "what every part of a page is called, said with its module: `bar.draw`",
    "page": "what every page is called, likewise",
    "notes": "what every check has to say that is no fault, likewise",
    "faults": "likewise; on a page, the same as a box",
    "show": "said with its module: `show.show` on a page, `shell.show` in a terminal",
    "table": "likewise: `show.table`, `plain.table`",
    "figures": "said with its module: `state.figures`, `shell.figures`",
    "read": "likewise: `state.read`, `shell.read`",
    "tell": "likewise: `state.tell`, `shell.tell`",
    "main": "the way in, before and after the arguments are read",
    "app": "the command line, and the command that starts the pages",
    "advice": "kept by content in `app.engine.cached`, asked in `study`",
    "bands": "likewise",
    "comparison": "likewise",
    "cures": "likewise",
    "package": "likewise",
    "readiness": "likewise",
    "valued_case": "likewise",
    "cash": "likewise, and the command named for the question",
    "turning": "likewise",
    "report": "the paper, and the command named for it",
}
"""Names of public functions, classes and aliases that two modules define, and why."""


def public_names(tree: ast.Module) -> Iterator[str]:
    """Parameters of public functions and fields of public classes."""
    for node in nodes_of(tree):
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node.name
            yield from (a.arg for a in (*node.args.args, *node.args.kwonlyargs))
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            fields = (item for item in node.body if isinstance(item, ast.AnnAssign))
            yield from (f.target.id for f in fields if isinstance(f.target, ast.Name))


def defined(tree: ast.Module) -> Iterator[str]:
    """Public functions, classes and aliases of a module."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name
        if isinstance(node, ast.Assign):
            names = (target.id for target in node.targets if isinstance(target, ast.Name))
            yield from (name for name in names if not name.isupper())


@cache
def names() -> dict[str, set[str]]:
    """Public names by module."""
    return {module: set(public_names(tree)) for module, tree in modules().items()}


def test_public_names_use_the_words_of_the_glossary() -> None:
    breaches = {
        (module, name, INSTEAD_OF[part.rstrip("s")])
        for module, used in names().items()
        for name in used
        for part in name.split("_")
        if part.rstrip("s") in INSTEAD_OF
    }
    assert breaches == set()


def test_every_word_of_the_glossary_is_in_use() -> None:
    everywhere = set().union(*names().values())
    assert [word for word in GLOSSARY if not {word, f"{word}s"} & everywhere] == []


def test_a_name_is_defined_once_or_has_a_reason() -> None:
    places = Counter(
        name
        for tree in modules().values()
        for name in set(defined(tree))
        if not name.startswith("_")
    )
    assert {name for name, count in places.items() if count > 1} == MORE_THAN_ONCE.keys()
