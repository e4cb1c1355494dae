"""Cells of tables as text, and what they state in a TOML file."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache, partial
from typing import Any, Literal

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from optioneer.errors import Fault
from optioneer.files.plain.numerals import number, numeral
from optioneer.forms.columns import CORNERS, NOTHING, YES_NO, field_columns
from optioneer.forms.columns import Column as Stated
from optioneer.forms.fields import flat, is_table, lists_facts

GridKind = Literal[
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

SEPARATOR = ";"
YES, NO = YES_NO


@dataclass(frozen=True)
class GridColumn:
    """A column of a table of cells.

    Parameters
    ----------
    key
        Its name, unique in the table.
    field
        The key in the file that it states, or states a part of.
    help
        What it means, with its unit.
    choices
        What may stand in it, where that is a list.
    corner
        Which of three numbers it is: 0 low, 1 likely, 2 high.
    """

    key: str
    field: str
    kind: GridKind
    help: str
    choices: tuple[str, ...] = ()
    corner: int | None = None


@cache
def grid_columns(model: type[BaseModel]) -> tuple[GridColumn, ...]:
    """The columns that state a fact of this model; lists of facts inside it have tables apart."""
    return tuple(
        column
        for name, known in model.model_fields.items()
        for column in _columns(known.alias or name, known)
    )


def _columns(name: str, known: FieldInfo) -> tuple[GridColumn, ...]:
    if lists_facts(known.annotation):
        return ()
    told, found = known.description or "", tuple(field_columns(known.alias or name, known))
    if len(found) == len(CORNERS) and found[0].part in {0, CORNERS[0]}:
        return tuple(
            GridColumn(
                f"{name}_{corner}", name, "number", f"{corner.capitalize()}: {told}", (), place
            )
            for place, corner in enumerate(CORNERS)
        )
    kind = "table" if any(map(is_table, flat(known.annotation))) else cell_kind(found[0])
    choices = found[0].words if kind in {"choice", "yes-no"} else ()
    return (GridColumn(name, name, kind, told, choices),)


def cell_kind(column: Stated) -> GridKind:
    """What the cell of a field is, from what the cell of a workbook would be."""
    if column.part is not None:
        return "numbers" if isinstance(column.part, int) else "table"
    if column.kind == "list":
        return _LISTS.get(column.entry, "list")
    return _KINDS[column.kind]


_KINDS: Mapping[str, GridKind] = {
    "text": "text",
    "day": "text",
    "word": "choice",
    "number": "number",
    "whole": "number",
    "either": "number",
    "one-or-three": "one-or-three",
    "date": "date",
    "yes-no": "yes-no",
}
_LISTS: Mapping[str, GridKind] = {"number": "numbers", "date": "dates"}


def text_of(entry: Mapping[str, Any], column: GridColumn) -> str:
    """What a cell shows of an entry of a file."""
    value = entry.get(column.field)
    if value is None:
        return ""
    if column.corner is not None:
        if not isinstance(value, list):
            return cell_text(value) if column.corner == 0 else ""
        return cell_text(value[column.corner]) if column.corner < len(value) else ""
    return cell_text(value)


def cell_text(value: Any) -> str:
    """A value of a file as the text of a cell."""
    if isinstance(value, bool):
        return YES if value else NO
    if isinstance(value, float):
        return numeral(value)
    if isinstance(value, list):
        return f"{SEPARATOR} ".join(cell_text(item) for item in value) or NOTHING
    if isinstance(value, Mapping):
        return f"{SEPARATOR} ".join(f"{key} = {cell_text(item)}" for key, item in value.items())
    return value.isoformat() if isinstance(value, date) else str(value)


def enter_cell(entry: dict[str, Any], column: GridColumn, text: str | None) -> None:
    """State in an entry of a file, in place, what a cell says; a blank cell states nothing."""
    told = (text or "").strip()
    if column.corner is not None:
        _put_corner(entry, column, told)
    elif told:
        entry[column.field] = stated_value(told, column.kind)
    else:
        entry.pop(column.field, None)


def _put_corner(entry: dict[str, Any], column: GridColumn, told: str) -> None:
    old = entry.get(column.field)
    three = list(old) if isinstance(old, list) else [] if old is None else [old]
    three = [*three, *([""] * (len(CORNERS) - len(three)))]
    three[column.corner or 0] = stated_value(told, "number") if told else ""
    if any(value != "" for value in three):
        entry[column.field] = three
    else:
        entry.pop(column.field, None)


def stated_value(text: str, kind: GridKind) -> Any:
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


_VALUES: Mapping[GridKind, Callable[[str], Any]] = {
    "yes-no": lambda text: {YES: True, NO: False}.get(text.lower(), text),
    "number": _number,
    "one-or-three": lambda text: _list(text, _number) if SEPARATOR in text else _number(text),
    "date": _date,
    "list": _list,
    "numbers": partial(_list, item=_number),
    "dates": partial(_list, item=_date),
    "table": _table,
}
