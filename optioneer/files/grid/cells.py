"""Cells of tables as text, and what they state in a TOML file."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache, partial
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from optioneer.errors import Fault
from optioneer.files.plain.numerals import number, numeral
from optioneer.model.fact import Triangular

Kind = Literal[
    "text",
    "number",
    "one-or-three",
    "choice",
    "list",
    "numbers",
    "dates",
    "table",
    "date",
    "yes-no",
]

CORNERS = ("low", "likely", "high")
SEPARATOR = ";"
YES, NO = "yes", "no"
NOTHING = "-"
"""A list that is given and holds nothing."""


@dataclass(frozen=True)
class Column:
    """A column of a table of cells.

    Parameters
    ----------
    key
        Its name, unique in the table.
    field
        The key in the file that it states, or states a part of.
    kind
        What its cells are.
    help
        What it means, with its unit.
    choices
        What may stand in it, where that is a list.
    corner
        Which of three numbers it is: 0 low, 1 likely, 2 high.
    """

    key: str
    field: str
    kind: Kind
    help: str
    choices: tuple[str, ...] = ()
    corner: int | None = None


@cache
def columns_of(model: type[BaseModel]) -> tuple[Column, ...]:
    """The columns that state a fact of this model; lists of facts inside it have tables apart."""
    return tuple(
        column
        for name, known in model.model_fields.items()
        for column in _columns(known.alias or name, known)
    )


def _columns(name: str, known: FieldInfo) -> tuple[Column, ...]:
    told = known.description or ""
    types = list(_types(known.annotation)) + [type(item) for item in known.metadata]
    if (Triangular in types and float not in types) or _is_triple(known.annotation):
        return tuple(
            Column(f"{name}_{corner}", name, "number", f"{corner.capitalize()}: {told}", (), place)
            for place, corner in enumerate(CORNERS)
        )
    if _holds_facts(known.annotation):
        return ()
    return (Column(name, name, _kind(types), told, _choices(known.annotation, types)),)


def _types(annotation: Any) -> tuple[Any, ...]:
    """Every type that an annotation mentions, origins of generics included."""
    inner = get_args(annotation)
    if get_origin(annotation) is Literal:
        return (Literal, *(type(value) for value in inner))
    found = tuple(each for part in inner for each in _types(part))
    origin = get_origin(annotation)
    return (*(() if origin is None else (origin,)), *(() if inner else (annotation,)), *found)


def _is_triple(annotation: Any) -> bool:
    return any(
        get_origin(part) is tuple
        and len(get_args(part)) == len(CORNERS)
        and ... not in get_args(part)
        for part in (annotation, *get_args(annotation))
    )


def _holds_facts(annotation: Any) -> bool:
    """Whether the annotation is a list of facts, which has a table of its own."""
    facts = [t for t in _types(annotation) if isinstance(t, type) and issubclass(t, BaseModel)]
    return tuple in _types(annotation) and any(len(fact.model_fields) > 1 for fact in facts)


def _kind(types: list[Any]) -> Kind:
    facts = [t for t in types if isinstance(t, type) and issubclass(t, BaseModel)]
    whole_number = float in types or int in types
    rules: tuple[tuple[bool, Kind], ...] = (
        (bool in types, "yes-no"),
        (any(_is_mapping(each) for each in types), "table"),
        (Triangular in types, "one-or-three"),
        (any("fee" in fact.model_fields for fact in facts), "table"),
        (tuple in types and date in types, "dates"),
        (tuple in types and float in types, "numbers"),
        (tuple in types, "list"),
        (bool(facts), "text"),
        (Literal in types and str in types and float not in types, "choice"),
        (whole_number, "number"),
        (date in types, "date"),
    )
    return next((kind for holds, kind in rules if holds), "text")


def _is_mapping(found: Any) -> bool:
    return isinstance(found, type) and issubclass(found, Mapping)


def _choices(annotation: Any, types: list[Any]) -> tuple[str, ...]:
    if bool in types:
        return (YES, NO)
    if _kind(types) != "choice":
        return ()
    parts = (annotation, *get_args(annotation))
    found = [v for part in parts if get_origin(part) is Literal for v in get_args(part)]
    return tuple(str(value) for value in found)


def text_of(entry: Mapping[str, Any], column: Column) -> str:
    """What a cell shows of an entry of a file."""
    value = entry.get(column.field)
    if value is None:
        return ""
    if column.corner is not None:
        if not isinstance(value, list):
            return shown(value) if column.corner == 0 else ""
        return shown(value[column.corner]) if column.corner < len(value) else ""
    return shown(value)


def shown(value: Any) -> str:
    """A value of a file as the text of a cell."""
    if isinstance(value, bool):
        return YES if value else NO
    if isinstance(value, float):
        return numeral(value)
    if isinstance(value, list):
        return f"{SEPARATOR} ".join(shown(item) for item in value) or NOTHING
    if isinstance(value, Mapping):
        return f"{SEPARATOR} ".join(f"{key} = {shown(item)}" for key, item in value.items())
    return value.isoformat() if isinstance(value, date) else str(value)


def put(entry: dict[str, Any], column: Column, text: str | None) -> None:
    """State in an entry of a file, in place, what a cell says; a blank cell states nothing."""
    told = (text or "").strip()
    if column.corner is not None:
        _put_corner(entry, column, told)
    elif told:
        entry[column.field] = value_of(told, column.kind)
    else:
        entry.pop(column.field, None)


def _put_corner(entry: dict[str, Any], column: Column, told: str) -> None:
    old = entry.get(column.field)
    three = list(old) if isinstance(old, list) else [] if old is None else [old]
    three = [*three, *([""] * (len(CORNERS) - len(three)))]
    three[column.corner or 0] = value_of(told, "number") if told else ""
    if any(value != "" for value in three):
        entry[column.field] = three
    else:
        entry.pop(column.field, None)


def value_of(text: str, kind: Kind) -> Any:
    """What a cell states; text that is no value of its kind stays text, for reading to refuse."""
    return _VALUES.get(kind, str)(text)


def _number(text: str) -> Any:
    """The number in a cell; the text itself where it is none that can be read in one way."""
    found = number(text, "", money=True)
    if isinstance(found, Fault):
        return text
    return int(text) if text.lstrip("+-").isdigit() else found


def _date(text: str) -> Any:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return text


def _list(text: str, item: Callable[[str], Any] = str) -> list[Any]:
    parts = [part.strip() for part in text.split(SEPARATOR)]
    return [item(part) for part in parts if part and text != NOTHING]


def _table(text: str) -> dict[str, Any]:
    pairs = [part.partition("=") for part in text.split(SEPARATOR) if part.strip()]
    return {key.strip(): _number(value.strip()) for key, _, value in pairs}


_VALUES: Mapping[Kind, Callable[[str], Any]] = {
    "yes-no": lambda text: {YES: True, NO: False}.get(text.lower(), text),
    "number": _number,
    "one-or-three": lambda text: _list(text, _number) if SEPARATOR in text else _number(text),
    "date": _date,
    "list": _list,
    "numbers": partial(_list, item=_number),
    "dates": partial(_list, item=_date),
    "table": _table,
}
