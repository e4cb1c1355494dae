"""``site.toml``: the shop, the machine's needs there, what can be bought, works and plan."""

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from optioneer.files.case.part import Part
from optioneer.files.plain.document import Document, document
from optioneer.files.plain.source import Source
from optioneer.model.site import (
    Air,
    Compressor,
    Load,
    Needs,
    Opening,
    Shop,
    Site,
    Supply,
    Transformer,
)
from optioneer.model.works import (
    Crew,
    Item,
    Shutdown,
    SitePlan,
    Supplier,
    Task,
    Trade,
    WorkCalendar,
)

KEYS = tuple(Site.model_fields)

TABLES: Mapping[str, type[BaseModel]] = {
    "shop": Shop,
    "needs": Needs,
    "air": Air,
    "crew": Crew,
    "calendar": WorkCalendar,
    "plan": SitePlan,
}
"""What is written once."""

LISTS: Mapping[str, type[BaseModel]] = {
    "transformer": Transformer,
    "load": Load,
    "opening": Opening,
    "supply": Supply,
    "supplier": Supplier,
    "trade": Trade,
    "item": Item,
    "task": Task,
}
"""What is written once for each."""

INSIDE: Mapping[str, tuple[str, type[BaseModel]]] = {
    "air": ("compressor", Compressor),
    "calendar": ("shutdown", Shutdown),
}
"""Lists inside tables."""


def read_site(source: Source) -> Part:
    """The site.

    Parameters
    ----------
    source
        The text of ``site.toml``.

    Raises
    ------
    CaseError
        The text is not TOML.
    """
    return site_part(document(source, KEYS))


def site_part(toml: Document) -> Part:
    """The site, from values already read."""
    facts: dict[str, Any] = {}
    for key, model in TABLES.items():
        table = toml.table(key)
        fact = None if table is None else toml.fact(model, _with_lists(toml, key, table), key)
        if fact is not None:
            facts[key] = fact
    facts |= {key: tuple(_listed(toml, key, model)) for key, model in LISTS.items()}
    return Part({"site": Site(**facts)}, tuple(toml.faults))


def _with_lists(toml: Document, key: str, table: Mapping[str, Any]) -> Mapping[str, Any]:
    if key not in INSIDE or INSIDE[key][0] not in table:
        return table
    name, model = INSIDE[key]
    rows = enumerate(toml.listed(table, name, key, f"{key}.{name}"), 1)
    found = (toml.fact(model, row, f"{key}, {name} {number}") for number, row in rows)
    return {**table, name: tuple(fact for fact in found if fact is not None)}


def _listed(toml: Document, key: str, model: type[BaseModel]) -> Iterator[BaseModel]:
    for place, table in toml.tables(key):
        fact = toml.fact(model, table, place)
        if fact is not None:
            yield fact
