"""A field of a fact as columns of a sheet: heading, kind of cell, unit, words, meaning."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel, BeforeValidator
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from optioneer.forms.fields import flat, is_fixed
from optioneer.model.fact import Fact, Triangular
from optioneer.model.paying import Payoff
from optioneer.model.terms import Bridge
from optioneer.model.when import MILESTONES, When

Kind = Literal[
    "text", "word", "number", "whole", "date", "day", "yes-no", "list", "either", "one-or-three"
]
"""What a cell holds.

``word`` is one of a few, ``day`` a date or words such as ``order + 90 days``, ``list`` several
entries with semicolons between them, ``either`` a number or a word, ``one-or-three`` a number or
three of them with semicolons between.
"""

Cell = str | float | int | date | None
"""What is written into a cell; none leaves it blank."""

CORNERS = ("low", "likely", "high")
SIDES = ("left", "right", "front", "back")

NOTHING = "-"
"""A list that is empty although blank would mean something else."""

NO_VISIT = "none"
"""The word for none where blank means something else."""

EMPTY = '""'
"""A text that is empty although blank would mean something else."""

SMALL: tuple[type[BaseModel], ...] = (Payoff, Bridge)
"""Facts that stand on one line of what they belong to, a column a field."""

YES_NO = ("yes", "no")
SEPARATOR = "; "


@dataclass(frozen=True)
class Column:
    """A column of a sheet, or a row of a sheet of single values.

    Parameters
    ----------
    part
        Which part of the value: a corner of a range, a place in a list, a key of a table.
    entry
        Kind of the entries of a list.
    meaning, unit
        A sentence or two; the unit where there is one.
    required
        Whether blank is a fault.
    default
        What blank means; none where it means none.
    words
        What a cell may hold, where that is one of a few.
    typed
        Whether a number may be typed with a unit of one's own.
    """

    heading: str
    field: str
    key: str
    kind: Kind
    meaning: str = ""
    unit: str = ""
    part: str | int | None = None
    entry: Kind = "text"
    required: bool = False
    default: Any = None
    words: tuple[str, ...] = ()
    typed: bool = False

    @property
    def is_money(self) -> bool:
        """Whether its numbers are amounts of money."""
        return self.unit.startswith("money")

    def of(self, fact: BaseModel, *, told: bool) -> Cell:
        """What a fact says in this column.

        Parameters
        ----------
        fact
            The fact; one that has no such field says nothing.
        told
            Whether what blank would mean is written too.
        """
        value = getattr(fact, self.field, None)
        if value is None:
            spoken = self.part is None and self.default is not None
            spoken = spoken and self.field in type(fact).model_fields
            return NO_VISIT if spoken else None
        if self.part is not None:
            return scalar(_part(value, self.part))
        blank = _blank(fact).get(self.field, self.default)
        if not told and not self.required and value == blank:
            return None
        if value == "" and (self.default or self.required):
            return EMPTY
        if value == () and self.default != ():
            return NOTHING
        return scalar(value)


def _blank(fact: BaseModel) -> Mapping[str, Any]:
    """What fields of a fact mean that are left blank, where that is not their default."""
    return fact.usual if isinstance(fact, Fact) else {}


def _part(value: Any, part: str | int) -> Any:
    return value[part] if isinstance(part, int) else getattr(value, part)


def scalar(value: Any) -> Cell:
    """A value of a fact as one cell; what is nothing is none."""
    if isinstance(value, bool):
        return YES_NO[0] if value else YES_NO[1]
    if isinstance(value, When):
        return value.anchor if value.is_date and isinstance(value.anchor, date) else str(value)
    if isinstance(value, Triangular):
        return SEPARATOR.join(_entry(one) for one in (value.low, value.likely, value.high))
    if isinstance(value, tuple):
        return SEPARATOR.join(_entry(one) for one in value) or None
    if isinstance(value, str):
        return value or None
    return value if value is None or isinstance(value, int | float | date) else str(value)


def _entry(value: Any) -> str:
    """A value as an entry of a list."""
    if isinstance(value, float):
        return format(Decimal(repr(value)), "f").removesuffix(".0")
    return str(scalar(value))


def columns(model: type[BaseModel], *without: str) -> tuple[Column, ...]:
    """The columns that state a fact of this model.

    Parameters
    ----------
    *without
        Fields that have sheets of their own.
    """
    fields = {name: field for name, field in model.model_fields.items() if name not in without}
    return tuple(column for name, field in fields.items() for column in field_columns(name, field))


def field_columns(name: str, field: FieldInfo) -> Iterator[Column]:
    """The columns that state one field: one, or one for each part of its value."""
    key = field.alias or name
    types = list(flat(field.annotation))
    plain = Column(
        heading=key,
        field=name,
        key=key,
        kind="text",
        meaning=field.description or "",
        unit=_unit(field.description or ""),
        required=field.is_required(),
        default=_default(field),
        typed=_is_typed(field.annotation) or any(_is_typed(one) for one in field.metadata),
    )
    sides = next((get_args(one) for one in types if is_fixed(one)), ())
    if (Triangular in types and float not in types) or len(sides) == len(CORNERS):
        for number, corner in enumerate(CORNERS):
            part = corner if Triangular in types else number
            yield _column_with(plain, heading=f"{key}_{corner}", part=part, kind="number")
    elif sides:
        for number, side in enumerate(SIDES):
            yield _column_with(plain, heading=f"{key}_{side}", part=number, kind="number")
    elif (small := next((one for one in SMALL if one in types), None)) is not None:
        for one in columns(small):
            heading = f"{key}_{one.key}"
            yield _column_with(
                one, heading=heading, field=name, key=key, part=one.key, required=False
            )
    else:
        kind, words = _kind(types)
        lists = [get_args(one)[0] for one in types if get_origin(one) is tuple]
        inner = _kind(list(flat(lists[0]))) if lists else ("text", ())
        yield _column_with(plain, kind=kind, words=words or inner[1], entry=inner[0])


def _column_with(column: Column, **changes: Any) -> Column:
    return Column(**{**column.__dict__, **changes})


def _default(field: FieldInfo) -> Any:
    value = field.get_default(call_default_factory=True)
    return None if value is PydanticUndefined else value


def _unit(meaning: str) -> str:
    match = re.search(r"\[([^\]]+)\]", meaning)
    return match[1] if match else ""


def _is_typed(annotation: Any) -> bool:
    """Whether a value may be typed as a text that is turned into a number."""
    if isinstance(annotation, BeforeValidator):
        return True
    return any(_is_typed(one) for one in get_args(annotation))


_SIMPLE: tuple[tuple[type, Kind], ...] = (
    (bool, "yes-no"),
    (float, "number"),
    (int, "whole"),
    (date, "date"),
)


def _kind(types: list[Any]) -> tuple[Kind, tuple[str, ...]]:
    """What a cell of one of these types holds, and the words it may be."""
    words = tuple(
        str(word) for one in types if get_origin(one) is Literal for word in get_args(one)
    )
    if When in types:
        return "day", (*MILESTONES, *words)
    if any(get_origin(one) is tuple for one in types):
        return "list", ()
    if Triangular in types:
        return "one-or-three", ()
    simple = next((kind for kind_of, kind in _SIMPLE if kind_of in types), None)
    if words and simple:
        return "either", words
    if words:
        return ("whole" if all(word.isdigit() for word in words) else "word"), words
    return ("yes-no", YES_NO) if simple == "yes-no" else (simple or "text", ())
