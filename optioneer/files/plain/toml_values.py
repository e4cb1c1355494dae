"""Facts as plain values of TOML, and single values as TOML text."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import tomlkit
from pydantic import BaseModel
from tomlkit.items import Float, Integer, Item, Trivia

from optioneer.files.plain.numerals import numeral
from optioneer.model.fact import Triangular
from optioneer.model.when import When

TomlTable = Mapping[str, Any]
"""Keys and values of a table."""


@dataclass(frozen=True)
class Shape:
    """What a table of a file is made of.

    Parameters
    ----------
    absent
        What a key means that is not there.
    tables
        Shapes of the tables and lists of tables inside it that are written as ``[key]`` or
        ``[[key]]``; everything else stands on one line.
    """

    absent: TomlTable = field(default_factory=dict)
    tables: Mapping[str, "Shape"] = field(default_factory=dict)


def shape(model: type[BaseModel], **tables: Shape) -> Shape:
    """The shape of the table that states a fact of this model."""
    fields = {
        known.alias or name: known
        for name, known in model.model_fields.items()
        if not known.is_required()
    }
    absent = {name: known.get_default(call_default_factory=True) for name, known in fields.items()}
    return Shape({name: toml_value(value) for name, value in absent.items()}, tables)


def data(fact: BaseModel) -> TomlTable:
    """The values of a fact as a file states them; what is none is left out."""
    fields = type(fact).model_fields
    values = {known.alias or name: getattr(fact, name) for name, known in fields.items()}
    return {name: toml_value(value) for name, value in values.items() if value is not None}


def toml_value(value: Any) -> Any:
    """A value of a fact as TOML knows it: ranges and tuples as lists, facts as tables."""
    if isinstance(value, Triangular):
        return [value.low, value.likely, value.high]
    if isinstance(value, When):
        return value.anchor if value.is_date else str(value)
    if isinstance(value, BaseModel):
        return data(value)
    if isinstance(value, tuple):
        return [toml_value(item) for item in value]
    return dict(value) if isinstance(value, Mapping) else value


def complete(value: Any, known: Shape) -> Any:
    """A value as read, with what its absent keys mean."""
    if isinstance(value, list):
        return [complete(item, known) for item in value]
    if not isinstance(value, Mapping):
        return value
    told = {key: complete(item, known.tables.get(key, Shape())) for key, item in value.items()}
    return {key: item for key, item in {**known.absent, **told}.items() if item is not None}


def item(value: Any) -> Item:
    """A value as TOML; numbers as plain digits that can be read in one way only.

    Raises
    ------
    TypeError
        Values of this kind have no place in a case file.
    """
    if isinstance(value, float):
        return _number(value)
    if isinstance(value, list):
        return _array(value)
    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        for key, inner in value.items():
            table.append(key, item(inner))
        return table
    if isinstance(value, str | int | date):
        return tomlkit.item(value)
    raise TypeError(f"{type(value).__name__} has no place in a case file")


def _number(value: float) -> Item:
    digits = numeral(value)
    if "." in digits:
        return Float(value, Trivia(), digits)
    return Integer(int(value), Trivia(), digits)


def _array(values: Sequence[Any]) -> Item:
    array = tomlkit.array()
    for value in values:
        array.append(item(value))
    return array
