"""Sheets as the tables of a case's files, with the cell behind each place in those files."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from optioneer.errors import Fault, did_you_mean
from optioneer.files.plain.numerals import excerpt
from optioneer.files.plain.spreadsheet import Grid, Value, cell_name
from optioneer.files.workbook.cell_values import cell_words, sheet_value
from optioneer.forms.columns import CORNERS, Column
from optioneer.forms.schema import FormTable
from optioneer.forms.sheets import FORM_HEADS, HEADING, MARKS, Form

Place = str
"""A place in a file, such as ``growth.toml, stream 'robot-work', chance``."""

_GAP = "Give low, likely and high, or none of the three."


@dataclass
class Book:
    """A workbook under reading.

    Parameters
    ----------
    cells
        Sheet and cell behind each place in a file.
    frame
        What is wrong with its sheets and headings, so far; while there is anything, the entries
        below cannot be trusted and are not judged.
    """

    name: str
    sheets: Mapping[str, Grid]
    cells: dict[Place, tuple[str, str]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    frame: list[Fault] = field(default_factory=list)

    def frame_fault(self, sheet: str, cell: str, what: str, allowed: str = "") -> None:
        """Note that something is wrong with a sheet or a heading."""
        self.frame.append(Fault(self.where(sheet, cell), what, allowed))

    def fault(self, sheet: str, cell: str, what: str, allowed: str = "") -> None:
        """Note that something is wrong with a cell, or with a sheet as a whole."""
        self.faults.append(Fault(self.where(sheet, cell), what, allowed))

    def where(self, sheet: str, cell: str = "") -> str:
        """Where a cell stands, or a whole sheet."""
        return f"{self.name}, sheet '{sheet}'{f', cell {cell}' if cell else ''}"

    def value(self, column: Column, cell: Value, sheet: str, at: str) -> Any:
        """What a cell states; none after noting what is wrong with it."""
        found = sheet_value(column, cell)
        if isinstance(found, Fault):
            self.fault(sheet, at, found.what, found.allowed)
            return None
        return found


@dataclass(frozen=True)
class SheetRow:
    """One row of a listing that is not blank.

    Parameters
    ----------
    number
        As the spreadsheet counts it.
    """

    number: int
    cells: Mapping[str, Value]


@dataclass(frozen=True)
class SheetRows:
    """The rows of a listing.

    Parameters
    ----------
    heading
        Number of the row of headings.
    letters
        Position of each heading, from 1.
    rows
        Those that are not blank.
    """

    heading: int
    letters: Mapping[str, int]
    rows: Sequence[SheetRow]

    def at(self, row: SheetRow, heading: str) -> str:
        """The name of a cell."""
        return cell_name(row.number, self.letters.get(heading, 1))


def rows_of(book: Book, listing: FormTable) -> SheetRows:
    """The rows of a listing; what is wrong with its headings is noted."""
    grid = book.sheets.get(listing.sheet)
    if grid is None:
        return SheetRows(0, {}, ())
    found = [n for n, row in enumerate(grid.rows, 1) if row and row[0] == HEADING]
    if not found:
        what = f"no row begins with the word '{HEADING}'"
        book.frame_fault(listing.sheet, "", what, "Keep the rows above the entries as they were.")
        return SheetRows(0, {}, ())
    top = grid.rows[found[0] - 1]
    letters = dict(_headings(book, listing, found[0], top))
    below = enumerate(grid.rows[found[0] :], found[0] + 1)
    names = {position: heading for heading, position in letters.items()}
    named = {n: names.get(n, "") for n, cell in enumerate(top, 1) if cell is not None and n > 1}
    kept = [_row(book, listing.sheet, n, row, named) for n, row in below]
    return SheetRows(found[0], letters, [row for row in kept if row is not None and row.cells])


def _headings(
    book: Book, listing: FormTable, number: int, row: Sequence[Value]
) -> Iterator[tuple[str, int]]:
    known = [*([listing.owner] if listing.owner else []), *(c.heading for c in listing.columns)]
    seen: set[str] = set()
    for position, cell in enumerate(row[1:], 2):
        at = cell_name(number, position)
        name = str(cell) if cell is not None else ""
        if name and name not in known:
            what = f"{cell_words(cell)} is not a known heading"
            book.frame_fault(listing.sheet, at, what, did_you_mean(name, known))
        elif name and name in seen:
            book.frame_fault(
                listing.sheet, at, f"the heading '{name}' stands twice", "Keep one of them."
            )
        elif name:
            yield name, position
        seen.add(name)
    for name in known:
        if name not in seen:
            what = f"the column '{name}' is missing"
            book.frame_fault(listing.sheet, "", what, f"Write it into row {number}.")


def _row(
    book: Book, sheet: str, number: int, row: Sequence[Value], named: Mapping[int, str]
) -> SheetRow | None:
    """The cells of a row below the headings; none for those that only explain.

    Parameters
    ----------
    book, sheet, number, row
        The row and where it stands.
    named
        Headings by position, '' for one that is not known.
    """
    if row and row[0] in MARKS:
        return None
    cells: dict[str, Value] = {}
    for position, cell in enumerate(row, 1):
        if cell is None:
            continue
        if named.get(position):
            cells[named[position]] = cell
        elif position not in named:
            book.frame_fault(sheet, cell_name(number, position), *_STRAY)
    return SheetRow(number, cells)


_STRAY = ("stands in a column without a heading", "It is not read: move it or take it away.")


def entry_of(book: Book, listing: FormTable, rows: SheetRows, row: SheetRow) -> dict[str, Any]:
    """The keys and values that a row states; what is wrong with its cells is noted."""
    found: dict[str, Any] = {}
    parts: dict[str, dict[str | int, Any]] = {}
    for column in listing.columns:
        cell = row.cells.get(column.heading)
        if cell is None:
            continue
        value = book.value(column, cell, listing.sheet, rows.at(row, column.heading))
        if value is None:
            continue
        if column.part is None:
            found[column.key] = value
        else:
            parts.setdefault(column.key, {})[column.part] = value
    for key, values in parts.items():
        whole = [c for c in listing.columns if c.key == key]
        joined = _whole_value(values, whole)
        if joined is not None:
            found[key] = joined
        else:
            _note_gap(book, listing, rows, row, whole)
    return found


def _whole_value(values: Mapping[str | int, Any], whole: Sequence[Column]) -> Any:
    """The parts of a value put together; none when some of a list are blank."""
    if isinstance(whole[0].part, str) and whole[0].part not in CORNERS:
        return dict(values)
    if len(values) < len(whole):
        return None
    return [values[column.part] for column in whole if column.part is not None]


def _note_gap(
    book: Book, listing: FormTable, rows: SheetRows, row: SheetRow, whole: Sequence[Column]
) -> None:
    for column in whole:
        if column.heading not in row.cells:
            allowed = _GAP if len(whole) == len(CORNERS) else f"Give all {len(whole)} or none."
            book.fault(listing.sheet, rows.at(row, column.heading), "is blank", allowed)
            return


def register(
    book: Book, listing: FormTable, rows: SheetRows, row: SheetRow, places: Sequence[str]
) -> None:
    """Note which cells stand behind the places of a row's keys in the file."""
    leading = (None, 0, *CORNERS[:1], "when")
    for place in places:
        start = f"{listing.file}, {place}"
        first = listing.columns[0].heading
        book.cells[start] = (listing.sheet, rows.at(row, first))
        for column in listing.columns:
            at = (listing.sheet, rows.at(row, column.heading))
            whole = f"{start}, {column.key}"
            if column.part in leading:
                book.cells[whole] = at
            if column.part is not None:
                part = f"item {column.part + 1}" if isinstance(column.part, int) else column.part
                book.cells[f"{whole}, {part}"] = at


def form_values(book: Book, form: Form) -> dict[str, dict[str, Any]]:
    """The keys and values that a form states, by table; blank ones are left out."""
    found: dict[str, dict[str, Any]] = {table: {} for table in form.tables}
    grid = book.sheets.get(form.name)
    known = {
        (table or form.name, column.heading): (table, column)
        for table, found_in in form.tables.items()
        for column in found_in.columns
    }
    seen: set[tuple[str, str]] = set()
    pieces: dict[tuple[str, str], dict[str | int, Any]] = {}
    for number, row in enumerate(grid.rows if grid else (), 1):
        name = (str(row[0]), str(row[1])) if len(row) > 1 else ("", "")
        if name in known and name not in seen:
            table, column = known[name]
            _register_value(book, form, number, table, column)
            cell = row[2] if len(row) > 2 else None  # noqa: PLR2004 - the third column
            value = None if cell is None else book.value(column, cell, form.name, f"C{number}")
            if value is not None and column.part is None:
                found[table][column.key] = value
            elif value is not None and column.part is not None:
                pieces.setdefault((table, column.key), {})[column.part] = value
        elif name in known:
            book.frame_fault(
                form.name, f"B{number}", f"'{name[1]}' stands twice", "Keep one of them."
            )
        elif len(row) > 2 and row[2] not in {None, FORM_HEADS[2]}:  # noqa: PLR2004 - the same
            book.frame_fault(form.name, f"A{number}", *_unknown(name, known))
        seen.add(name)
    _put_pieces(book, form, pieces, found)
    if grid is not None:
        _note_missing(book, form, [name for name in known if name not in seen])
    return found


def _unknown(
    name: tuple[str, str], known: Mapping[tuple[str, str], tuple[str, Column]]
) -> tuple[str, str]:
    keys = [key for table, key in known if table == name[0]]
    if not keys:
        tables = dict.fromkeys(table for table, _ in known)
        return f"there is no table '{excerpt(name[0])}' here", did_you_mean(name[0], tables)
    return f"'{excerpt(name[1])}' is not a known key", did_you_mean(name[1], keys)


def _register_value(book: Book, form: Form, number: int, table: str, column: Column) -> None:
    start = f"{form.file}, {table}" if table else form.file
    at = (form.name, f"C{number}")
    book.cells.setdefault(f"{start}, {column.key}", at)
    if isinstance(column.part, int):
        book.cells[f"{start}, {column.key}, item {column.part + 1}"] = at


def _put_pieces(
    book: Book,
    form: Form,
    pieces: Mapping[tuple[str, str], Mapping[str | int, Any]],
    found: Mapping[str, dict[str, Any]],
) -> None:
    """Put lists together whose entries stand in rows of their own."""
    for (table, key), values in pieces.items():
        whole = [column for column in form.tables[table].columns if column.key == key]
        if len(values) == len(whole):
            found[table][key] = [values[c.part] for c in whole if c.part is not None]
        else:
            _, at = book.cells[f"{form.file}, {table}, {key}"]
            what = f"{len(values)} of the {len(whole)} rows of '{key}' are filled in"
            book.fault(form.name, at, what, "Fill in all of them or none.")


def _note_missing(book: Book, form: Form, names: Sequence[tuple[str, str]]) -> None:
    if names:
        rows = ", ".join(f"{table} {key}" for table, key in names)
        book.frame_fault(form.name, "", f"rows are missing: {rows}", "Keep all rows of the sheet.")
