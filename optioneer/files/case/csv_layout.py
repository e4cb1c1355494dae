"""New options in an old table: rows that did not change keep every byte."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from optioneer.errors import CaseError
from optioneer.files.case.options_file import (
    COLUMNS,
    FREE_TEXTS,
    LIST_SEPARATOR,
    NO_VISIT,
    NUMBERS,
    REQUIRED,
)
from optioneer.files.plain.numerals import numeral
from optioneer.files.plain.source import Source
from optioneer.files.plain.table import CsvTable, Record, guarded, records, table, unguarded
from optioneer.forms.columns import CORNERS
from optioneer.model.catalogue import Option


@dataclass
class _Row:
    """A record of the old table with the blank lines around it."""

    record: Record
    above: str = ""
    below: str = ""


@dataclass(frozen=True)
class _Layout:
    """How the old table is written: separator, line end, decimal mark, columns to be added."""

    old: CsvTable
    end: str
    mark: str
    added: tuple[str, ...]


def updated_table(old: Source | None, before: Sequence[Option], after: Sequence[Option]) -> str:
    """The text of a table that lists `after`.

    Separator, order of columns, line ends and cells that still hold stay as they are; a value that
    is the default is left blank.

    Parameters
    ----------
    old
        The table so far, without faults, if there is one.
    before
        The options that it lists.
    after
        The options that it is to list, in order.
    """
    if old is None:
        rows = [_line([_cell(option, column) for column in COLUMNS], ",") for option in after]
        return "\n".join([",".join(COLUMNS), *rows, ""])
    layout = _layout(old, after)
    heading, rows_by_id = _rows(old, layout.old)
    known = {option.option: option for option in before}
    lines = [_with_more_cells(heading, layout.added, layout)]
    for option in after:
        row = rows_by_id.get(option.option)
        lines.append(
            _written(option, known[option.option], row, layout) if row else _new(option, layout)
        )
    text = "".join(lines)
    return text if old.text.endswith(("\n", "\r")) else text.removesuffix(layout.end)


def table_rows(
    old: Source, known: Collection[str], required: Collection[str]
) -> list[dict[str, str]]:
    """The cells of every row by column, as they stand; columns that are not there are blank.

    Raises
    ------
    CaseError
        The text is no table of whole rows under known headings.
    """
    read = table(old, known, required)
    if read.faults:
        raise CaseError(read.faults)
    return [
        {column: _cell_text(column, cells.get(column, "")) for column in known}
        for cells in map(read.cells, read.rows)
    ]


def edited_table(
    old: Source, kept: Sequence[tuple[int, Mapping[str, str]]], added: Sequence[Mapping[str, str]]
) -> str:
    """The text of a table after its cells were edited; rows that stayed keep every byte.

    Parameters
    ----------
    kept
        Old rows by place, with the cells they are to hold.
    added
        Cells of new rows, below.
    """
    read = table(old, COLUMNS, REQUIRED)
    before = table_rows(old, COLUMNS, REQUIRED)
    held = [*(row for _, row in kept), *added]
    absent = [column for column in COLUMNS if column not in read.columns]
    more = tuple(column for column in absent if any(row.get(column) for row in held))
    ends = [end for end in ("\r\n", "\n", "\r") if read.heading.raw.endswith(end)]
    layout = _Layout(read, (ends or ["\n"])[0], ".", more)
    lines = [_with_more_cells(_Row(read.heading), more, layout)]
    for place, row in kept:
        if row == before[place]:
            lines.append(_with_more_cells(_Row(read.rows[place]), ["" for _ in more], layout))
        else:
            lines.append(_of_cells(row, layout))
    lines.extend(_of_cells(row, layout) for row in added if any(row.values()))
    return "".join(lines)


def _of_cells(row: Mapping[str, str], layout: _Layout) -> str:
    columns = [*layout.old.columns, *layout.added]
    cells = [_put(column, row.get(column) or "") for column in columns]
    return _line(cells, layout.old.delimiter) + layout.end


def _cell_text(column: str, cell: str) -> str:
    return unguarded(cell) if column in FREE_TEXTS else cell


def _put(column: str, cell: str) -> str:
    return guarded(cell) if column in FREE_TEXTS else cell


def _layout(old: Source, after: Sequence[Option]) -> _Layout:
    read = table(old, COLUMNS, REQUIRED)
    absent = [column for column in COLUMNS if column not in read.columns]
    added = tuple(c for c in absent if any(_cell(option, c) for option in after))
    ends = [end for end in ("\r\n", "\n", "\r") if read.heading.raw.endswith(end)]
    return _Layout(read, (ends or ["\n"])[0], _mark(read), added)


def _mark(read: CsvTable) -> str:
    """The decimal mark of the numbers in a table."""
    numbers = [column for column in NUMBERS if column in read.columns]
    cells = [read.cells(row).get(column, "") for row in read.rows for column in numbers]
    return "," if any("," in cell for cell in cells) else "."


def _rows(old: Source, read: CsvTable) -> tuple[_Row, Mapping[str, _Row]]:
    """The row of headings, and the others by the id of their option."""
    heading = _Row(read.heading)
    rows: dict[str, _Row] = {}
    last = heading
    for record in records(old, read.delimiter):
        if record.number < read.heading.number:
            heading.above += record.raw
        elif record.blank:
            last.below += record.raw
        elif record.number > read.heading.number:
            last = rows[read.cells(record)["option"]] = _Row(record)
    return heading, rows


def _written(option: Option, before: Option, row: _Row, layout: _Layout) -> str:
    """The line of an option that was there before."""
    more = [_cell(option, column, layout.mark) for column in layout.added]
    if option == before:
        return _with_more_cells(row, more, layout)
    cells = [
        cell
        if not column or _cell(option, column) == _cell(before, column)
        else _cell(option, column, layout.mark)
        for column, cell in zip(layout.old.columns, row.record.cells, strict=True)
    ]
    return _line([*cells, *more], layout.old.delimiter) + layout.end + row.below


def _new(option: Option, layout: _Layout) -> str:
    columns = [*layout.old.columns, *layout.added]
    cells = [_cell(option, column, layout.mark) if column else "" for column in columns]
    return _line(cells, layout.old.delimiter) + layout.end


def _with_more_cells(row: _Row, more: Sequence[str], layout: _Layout) -> str:
    """A line as it was, with cells for added columns at its end."""
    raw = row.record.raw.rstrip("\r\n")
    end = row.record.raw[len(raw) :] or layout.end
    added = "".join(layout.old.delimiter + _csv_cell(cell, layout.old.delimiter) for cell in more)
    return row.above + raw + added + end + row.below


def _line(cells: Sequence[str], delimiter: str) -> str:
    return delimiter.join(_csv_cell(cell, delimiter) for cell in cells)


def _csv_cell(cell: str, delimiter: str) -> str:
    if any(character in cell for character in (delimiter, '"', "\r", "\n")):
        return '"' + cell.replace('"', '""') + '"'
    return cell


def _cell(option: Option, column: str, mark: str = ".") -> str:
    """What a column says of an option, blank where blank says the same."""
    if column == "call_out":
        return {None: NO_VISIT, "default": ""}.get(option.call_out, option.call_out or "")
    if column.endswith(CORNERS):
        name, _, corner = column.rpartition("_")
        range_of = getattr(option, name)
        blank = range_of is None or range_of == option.usual.get(name)
        return "" if blank else numeral(getattr(range_of, corner), mark)
    value = getattr(option, column)
    default = option.usual.get(column, Option.model_fields[column].default)
    if column not in REQUIRED and value == default:
        return ""
    return _text(value, column, mark)


def _text(value: Any, column: str, mark: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return numeral(value, mark)
    if isinstance(value, tuple):
        return LIST_SEPARATOR.join(value)
    return _put(column, str(value))
