"""``site.toml``: the shop, the machine's needs there, what can be bought, works and plan."""

from collections.abc import Mapping
from typing import Any

from optioneer.files.case.part import CasePart
from optioneer.files.plain.document import Document
from optioneer.forms.schema import SITE, tables
from optioneer.model.site import Site

KEYS = tuple(Site.model_fields)

_ONCE = {path[0]: one.models[0] for path, one in tables(SITE, many=False).items()}
"""What is written once."""

_LISTS = {path[0]: one.models[0] for path, one in tables(SITE, many=True).items() if len(path) == 1}
"""What is written once for each."""

_INSIDE = {path: one.models[0] for path, one in tables(SITE, many=True).items() if len(path) > 1}
"""Lists inside tables."""


def site_part(toml: Document) -> CasePart:
    """The site, from values already read."""
    facts: dict[str, Any] = {}
    for key, model in _ONCE.items():
        table = toml.table(key)
        fact = None if table is None else toml.fact(model, _with_lists(toml, key, table), key)
        if fact is not None:
            facts[key] = fact
    facts |= {key: tuple(toml.facts(key, model)) for key, model in _LISTS.items()}
    return CasePart({"site": Site(**facts)}, tuple(toml.faults))


def _with_lists(toml: Document, key: str, table: Mapping[str, Any]) -> Mapping[str, Any]:
    """The same with the facts of the lists inside it."""
    read: dict[str, Any] = {}
    for (holder, name), model in _INSIDE.items():
        if holder == key and name in table:
            rows = enumerate(toml.listed(table, name, key, f"{key}.{name}"), 1)
            found = (toml.fact(model, row, f"{key}, {name} {number}") for number, row in rows)
            read[name] = tuple(fact for fact in found if fact is not None)
    return {**table, **read}
