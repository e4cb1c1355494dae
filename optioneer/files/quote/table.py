"""A dealer's option list as rows of cells, whatever program wrote it."""

import csv
import io
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from optioneer.files.plain.numerals import excerpt
from optioneer.files.plain.source import LARGEST_FILE, refuse
from optioneer.files.plain.spreadsheet import MOST_COLUMNS, Value, grids
from optioneer.files.plain.table import DELIMITERS

_NAMED = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_ZIP = b"PK\x03\x04"
_SAMPLE = 4000
MOST_ROWS = 2000
"""More lines than this are no list of options."""


@dataclass(frozen=True)
class QuoteRow:
    """A row of the list.

    Parameters
    ----------
    number
        As a spreadsheet counts it, from 1.
    cells
        Texts and numbers; '' where blank.
    """

    number: int
    cells: tuple[str | float, ...]

    @property
    def blank(self) -> bool:
        """Whether there is nothing in it."""
        return all(cell == "" for cell in self.cells)


@dataclass(frozen=True)
class QuoteTable:
    """The rows of the list, blank ones left out.

    Parameters
    ----------
    notes
        How the file was read: encoding, separator, sheet.
    """

    rows: tuple[QuoteRow, ...]
    notes: tuple[str, ...]


def quote_table(data: bytes, name: str) -> QuoteTable:
    """The rows of a list saved as a workbook or as text separated by ``;``, ``,``, tab or ``|``.

    Parameters
    ----------
    name
        What it is called, for the faults.

    Raises
    ------
    CaseError
        It is no table that can be read.
    """
    if data.startswith((_ZIP, b"\xd0\xcf\x11\xe0")):
        return _of_workbook(data, name)
    if len(data) > LARGEST_FILE:
        refuse(name, f"is {len(data):,} bytes long", f"At most {LARGEST_FILE:,} bytes are read.")
    text, note = _text_and_coding(data, name)
    delimiter, rows = _separator_and_rows(text, name)
    found = tuple(
        QuoteRow(number, tuple(cell.strip() for cell in row)) for number, row in enumerate(rows, 1)
    )
    notes = (note, f"separated by {_NAMED[delimiter]}")
    return _without_blanks(found, tuple(one for one in notes if one), name)


def _without_blanks(rows: Sequence[QuoteRow], notes: tuple[str, ...], name: str) -> QuoteTable:
    kept = tuple(row for row in rows if not row.blank)
    if not kept:
        refuse(name, "is empty", "It holds a list with a name and a price a line.")
    return QuoteTable(kept, notes)


def _of_workbook(data: bytes, name: str) -> QuoteTable:
    """The sheet with the most cells that are filled."""
    sheets = grids(data, name)
    sheet = max(sheets.values(), key=lambda one: sum(c is not None for r in one.rows for c in r))
    rows = [
        QuoteRow(number, tuple(_plain(cell) for cell in row))
        for number, row in enumerate(sheet.rows, 1)
    ]
    others = [excerpt(one) for one in sheets if one != sheet.name]
    notes = [f"sheet '{excerpt(sheet.name)}'"]
    notes += [f"not read: the sheets {', '.join(others)}"] if others else []
    notes += [f"cell {cell} {fault.what}" for cell, fault in sheet.faults]
    return _without_blanks(rows, tuple(notes), name)


def _plain(cell: Value) -> str | float:
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return float(cell)
    return cell.isoformat() if isinstance(cell, date) else (cell or "")


def _text_and_coding(data: bytes, name: str) -> tuple[str, str]:
    """The text, and how it was read where that is not UTF-8."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding, note = "utf-16", "read as UTF-16"
    elif b"\0" in data[:_SAMPLE]:
        little = data[1:_SAMPLE:2].count(0) >= data[0:_SAMPLE:2].count(0)
        encoding, note = ("utf-16-le" if little else "utf-16-be"), "read as UTF-16"
    else:
        encoding, note = "utf-8-sig", ""
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        if encoding != "utf-8-sig":
            refuse(name, "is no text in UTF-16", "Save it as UTF-8.")
        text, note = _western(data, name), "read as Windows-1252, as it is not UTF-8"
    if "\0" in text:
        refuse(name, "holds a NUL character, so it is no text", "Save it as text or a workbook.")
    return text, note


def _western(data: bytes, name: str) -> str:
    try:
        return data.decode("cp1252")
    except UnicodeDecodeError:
        refuse(name, "is neither UTF-8 nor Windows-1252 text", "Save it as UTF-8.")


def _separator_and_rows(text: str, name: str) -> tuple[str, list[list[str]]]:
    """The separator under which most rows have the same number of cells, and the rows."""
    tried = {mark: _rows(text, mark) for mark in DELIMITERS}
    scores = {mark: _evenness(rows) for mark, rows in tried.items()}
    best = max(scores, key=lambda mark: scores[mark])
    if scores[best] == (0, 0):
        allowed = "Save it as CSV or as a workbook."
        refuse(name, "is no table: no separator makes columns of it", allowed)
    rows = tried[best]
    if len(rows) > MOST_ROWS:
        refuse(name, f"has more than {MOST_ROWS:,} rows", "Split the list.")
    if max(len(row) for row in rows) > MOST_COLUMNS:
        refuse(name, f"has more than {MOST_COLUMNS} columns", "Take away those not needed.")
    return best, rows


def _rows(text: str, delimiter: str) -> list[list[str]]:
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
        return [row for row, _ in zip(reader, range(MOST_ROWS + 1), strict=False)]
    except csv.Error:
        return []


def _evenness(rows: Sequence[Sequence[str]]) -> tuple[int, int]:
    """How many rows have the commonest number of cells above one, and that number."""
    counts = Counter(len(row) for row in rows if len(row) > 1 and any(row))
    if not counts:
        return (0, 0)
    width, count = max(counts.items(), key=lambda pair: (pair[1], pair[0]))
    return (count, width)
