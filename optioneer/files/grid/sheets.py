"""The files of a case as tables of cells, for people who edit them in a grid.

A cell is text, exactly as it stands or would stand in the file; wrong cells are kept as typed, and
reading the files says what is wrong with them. Comments, order and spacing of the files stay.
"""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from optioneer.errors import RequestError
from optioneer.files.case.csv_layout import edited_table, table_rows
from optioneer.files.case.options_file import COLUMNS, REQUIRED
from optioneer.files.case.shapes import SHAPES
from optioneer.files.grid import cells
from optioneer.files.grid.cells import GridColumn, grid_columns
from optioneer.files.plain.source import Source
from optioneer.files.plain.toml_layout import updated
from optioneer.files.plain.toml_values import complete
from optioneer.forms.columns import Column as Stated
from optioneer.forms.columns import columns
from optioneer.forms.schema import OPTIONS, FormTable
from optioneer.model.catalogue import Option
from optioneer.model.paying import with_use_on_top

GridRow = Mapping[str, str]
"""Cells by column."""

Texts = Mapping[str, str]

OWNER = "of"
"""The column that says to which entry a row belongs."""

KEY, VALUE = "figure", "value"
"""The columns of a sheet whose rows are the keys of one table."""


@dataclass(frozen=True)
class Edits:
    """What somebody did to a sheet.

    Parameters
    ----------
    changed
        New cells by row and column.
    """

    changed: Mapping[int, GridRow] = field(default_factory=dict)
    added: Sequence[GridRow] = ()
    removed: Sequence[int] = ()


_AMOUNTS = (
    GridColumn("name", "name", "text", "Name that options use."),
    GridColumn("amount", "amount", "number", "Fixed charge of one visit [money]."),
)
"""Columns of a table of names and amounts."""


def _option_column(stated: Stated) -> GridColumn:
    prefix = f"{stated.part.capitalize()}: " if isinstance(stated.part, str) else ""
    kind = "number" if stated.part else cells.cell_kind(stated)
    return GridColumn(stated.heading, stated.heading, kind, prefix + stated.meaning, stated.words)


_OPTIONS = tuple(map(_option_column, columns(Option)))
"""Columns of the catalogue: their cells stand in the file as they are."""


@cache
def columns_in(sheet: FormTable) -> tuple[GridColumn, ...]:
    """The columns of an entry, in the order of the models; tables inside it have their own."""
    if sheet.file == OPTIONS:
        return _OPTIONS
    if sheet.pairs:
        return _AMOUNTS
    found = {column.key: column for model in sheet.models for column in grid_columns(model)}
    inner = {one.path[-1] for one in sheet.inner if one.word}
    return tuple(column for column in found.values() if column.field not in inner)


def rows(sheet: FormTable, texts: Texts) -> tuple[GridRow, ...]:
    """The rows of a sheet.

    Raises
    ------
    CaseError, RequestError
        The file is no table of cells as it stands; mend its text.
    """
    if sheet.file == OPTIONS:
        return tuple(table_rows(_source(sheet.file, texts), COLUMNS, REQUIRED))
    raw = _raw(sheet, texts)
    if not sheet.many:
        entry = _inside(raw, sheet.path)
        return tuple(
            {KEY: column.key, VALUE: cells.text_of(entry, column)} for column in columns_in(sheet)
        )
    return tuple(
        {**owner, **{column.key: cells.text_of(entry, column) for column in columns_in(sheet)}}
        for owner, entry in _entries(sheet, raw)
    )


def currency_of(texts: Texts) -> str:
    """The currency that the machine's file names, whatever else is wrong with it; '' for none.

    Examples
    --------
    >>> currency_of({"machine.toml": "machine.currency = 'USD'"}), currency_of({})
    ('USD', '')
    """
    try:
        raw = tomllib.loads(_source("machine.toml", texts).text)
    except (ValueError, RecursionError):
        return ""
    return str(_inside(raw, ("machine",)).get("currency", ""))


def with_edits(sheet: FormTable, texts: Texts, edits: Edits) -> dict[str, str]:
    """The texts after somebody edited a sheet.

    Raises
    ------
    CaseError, RequestError
        The file is no table of cells as it stands, or a new row belongs to nothing.
    """
    old = _source(sheet.file, texts)
    if sheet.file == OPTIONS:
        text = edited_table(old, _rows_left(rows(sheet, texts), edits), edits.added)
    else:
        raw = _raw(sheet, texts)
        if sheet.many:
            _edit_list(sheet, raw, edits)
        else:
            _edit_table(sheet, raw, edits)
        shape = SHAPES[sheet.file]
        text = updated(old.text, complete(raw, shape), shape)
    return {**texts, sheet.file: old.marked_like(text)}


def _rows_left(before: Sequence[GridRow], edits: Edits) -> list[tuple[int, GridRow]]:
    """The rows that stay, with their old places, changes made."""
    gone = set(edits.removed)
    return [
        (place, {**row, **edits.changed.get(place, {})})
        for place, row in enumerate(before)
        if place not in gone
    ]


def _source(file: str, texts: Texts) -> Source:
    return Source.of(file, texts.get(file, ""))


def _raw(sheet: FormTable, texts: Texts) -> dict[str, Any]:
    """The values of a file, to be changed in place."""
    text = _source(sheet.file, texts).text.replace("\r\n", "\n")
    try:
        return dict(with_use_on_top(tomllib.loads(text)))
    except (ValueError, RecursionError) as error:
        raise RequestError(f"{sheet.file}: mend its text first; {error}.") from error


def _inside(raw: Mapping[str, Any], path: Sequence[str]) -> Mapping[str, Any]:
    """The table at a path; empty where there is none."""
    here: Any = raw
    for key in path:
        here = here.get(key, {}) if isinstance(here, Mapping) else {}
    return here if isinstance(here, Mapping) else {}


def _list(holder: Mapping[str, Any], key: str) -> list[dict[str, Any]]:
    found = holder.get(key, [])
    return [one for one in found if isinstance(one, dict)] if isinstance(found, list) else []


def _entries(sheet: FormTable, raw: Mapping[str, Any]) -> list[tuple[GridRow, dict[str, Any]]]:
    """Every entry of a list, with the one it belongs to."""
    if sheet.owner:
        return [
            ({OWNER: str(holder.get("id", ""))}, entry)
            for holder in _list(raw, sheet.path[0])
            for entry in _list(holder, sheet.path[1])
        ]
    if sheet.pairs:  # names and amounts
        table = _inside(raw, sheet.path)
        return [({}, {"name": name, "amount": amount}) for name, amount in table.items()]
    return [({}, entry) for entry in _list(_inside(raw, sheet.path[:-1]), sheet.path[-1])]


def _edit_table(sheet: FormTable, raw: dict[str, Any], edits: Edits) -> None:
    """Set the keys of one table; one that holds nothing any more goes."""
    table = raw
    for key in sheet.path:
        table = table.setdefault(key, {})
    for place, change in edits.changed.items():
        column = columns_in(sheet)[place]
        cells.enter_cell(table, column, change.get(VALUE, ""))
    if sheet.path and not table:
        raw.pop(sheet.path[0])


def _edit_list(sheet: FormTable, raw: dict[str, Any], edits: Edits) -> None:
    entries = _entries(sheet, raw)
    columns = {column.key: column for column in columns_in(sheet)}
    for place, change in edits.changed.items():
        for key, text in change.items():
            if key in columns:
                cells.enter_cell(entries[place][1], columns[key], text)
            elif key == OWNER:
                entries[place] = ({OWNER: text}, entries[place][1])
    added = [(row, _new_entry(row, columns)) for row in edits.added if any(row.values())]
    kept = [(owner, e) for place, (owner, e) in enumerate(entries) if place not in edits.removed]
    if sheet.owner:
        _put_owned(sheet, raw, [*kept, *added])
    elif sheet.pairs:
        raw[sheet.path[0]] = {
            str(entry.get("name", "")): entry.get("amount", 0) for _, entry in [*kept, *added]
        }
    else:
        holder = raw
        for key in sheet.path[:-1]:
            holder = holder.setdefault(key, {})
        holder[sheet.path[-1]] = [entry for _, entry in [*kept, *added]]
        if not holder[sheet.path[-1]]:
            holder.pop(sheet.path[-1])


def _new_entry(row: GridRow, columns: Mapping[str, GridColumn]) -> dict[str, Any]:
    entry: dict[str, Any] = {}
    for key, text in row.items():
        if key in columns and text:
            cells.enter_cell(entry, columns[key], text)
    return entry


def _put_owned(
    sheet: FormTable, raw: dict[str, Any], entries: Sequence[tuple[GridRow, dict[str, Any]]]
) -> None:
    holders = {str(holder.get("id", "")): holder for holder in _list(raw, sheet.path[0])}
    for holder in holders.values():
        holder.pop(sheet.path[1], None)
    for owner, entry in entries:
        name = owner.get(OWNER, "")
        if name not in holders:
            known = ", ".join(holders) or "none"
            raise RequestError(
                f"{sheet.title}: '{name}' in the column '{OWNER}' is not known. Allowed: {known}."
            )
        holders[name].setdefault(sheet.path[1], []).append(entry)
