"""Where in a table of the case each fault is: its row, its column, and what is wrong."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from optioneer.app.engine.heads import column_name, in_words
from optioneer.errors import Fault
from optioneer.files.grid.sheets import KEY, OWNER, GridRow, columns_in
from optioneer.forms.schema import OPTIONS, FormTable
from optioneer.reports.page.parts import Table

_NAMED = re.compile(r"^[\w. -]+ '(?P<name>.*)'$")
_NUMBERED = re.compile(r"^[\w.-]+ (?P<number>\d+)$")
_WITHIN = re.compile(r"^(?P<above>\w+)\.(?P<below>\w+ \d+)$")
"""How a place says one of several: by its name, by its number, by its number in a table."""


@dataclass(frozen=True)
class ToMend:
    """A fault of a table.

    Parameters
    ----------
    row
        Its row, from 0; none where it is of no row that is there.
    column
        The key of its column; '' where it is of the whole row.
    said
        What is wrong, and what is allowed.
    """

    row: int | None
    column: str
    said: str


def to_mend(sheet: FormTable, cells: Sequence[GridRow], faults: Iterable[Fault]) -> list[ToMend]:
    """The faults of a sheet that can be told at its cells; others are told of the whole case."""
    return [found for fault in faults for found in _faults_at_cells(sheet, cells, fault)]


def _faults_at_cells(sheet: FormTable, cells: Sequence[GridRow], fault: Fault) -> Iterator[ToMend]:
    file, *parts = fault.where.split(", ")
    inside = _inside(sheet, parts) if file == sheet.file else None
    if inside is None:
        return
    keys = {column.field: column.key for column in reversed(columns_in(sheet))}
    keys |= {column.key: column.key for column in columns_in(sheet)}
    column = next((keys[part] for part in reversed(parts) if part in keys), "")
    row = _row(sheet, cells, inside) if sheet.many else _figure(cells, column)
    if row is not None:
        yield ToMend(row, column, in_words(f"{fault.what}. {fault.allowed}".strip()))


def _inside(sheet: FormTable, parts: Sequence[str]) -> list[str] | None:
    """What a place says inside the table of a sheet; none where it is in another table."""
    split = (_WITHIN.match(part) for part in parts)
    left = [
        word
        for found, part in zip(split, parts, strict=True)
        for word in ((found["above"], found["below"]) if found else (part,))
    ]
    if sheet.file == OPTIONS:
        return left
    for key in sheet.path[:-1]:
        if not left or left[0].split(" ")[0] != key:
            return None
        left = left if left[0] != key else left[1:]
    last = sheet.path[-1:]
    return left if not last or any(part.split(" ")[0] == last[0] for part in left[:2]) else None


def _figure(cells: Sequence[GridRow], column: str) -> int | None:
    """The row of a figure of a table that is written once."""
    return next((place for place, row in enumerate(cells) if row[KEY] == column), None)


def _row(sheet: FormTable, cells: Sequence[GridRow], inside: Sequence[str]) -> int | None:
    """The row that a place names, by its number or by what it is called."""
    rows, left = list(enumerate(cells)), list(inside)
    if sheet.owner:
        owner, *left = left
        known = _NAMED.match(owner)
        rows = [one for one in rows if known and one[1].get(OWNER) == known["name"]]
    for part in left:
        numbered, named = _NUMBERED.match(part), _NAMED.match(part)
        if numbered:
            first = 2 if sheet.file == OPTIONS else 1  # the row of headings counts
            place = int(numbered["number"]) - first
            return rows[place][0] if 0 <= place < len(rows) else None
        if named:
            return next((place for place, row in rows if named["name"] in _names(row)), None)
    return next((place for place, row in rows if row.get("name") == ", ".join(left[1:])), None)


def _names(row: GridRow) -> tuple[str, ...]:
    return tuple(row[key] for key in ("id", "option", "name") if row.get(key))


def table(cells: Sequence[GridRow], found: Sequence[ToMend]) -> Table:
    """The cells to mend, above a list."""
    rows = tuple(
        (
            "" if one.row is None else str(one.row + 1),
            "" if one.row is None else row_name(cells[one.row]),
            column_name(one.column),
            "" if one.row is None else cells[one.row].get(one.column, ""),
            one.said,
        )
        for one in found
    )
    heads = ("row", "of", "column", "there is", "what is wrong")
    return Table("Cells to mend", heads, rows, text_last=True)


def row_name(row: GridRow) -> str:
    """What people call a row."""
    return next((row[key] for key in ("name", "what", "id", "option", OWNER) if row.get(key)), "")
