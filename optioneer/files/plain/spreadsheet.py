"""A workbook as grids of cells, read with suspicion: nothing unpacks beyond what a case needs."""

import io
import math
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import PurePosixPath
from typing import Any

from openpyxl import load_workbook
from openpyxl.utils import get_column_letter

from optioneer.errors import CaseError, Fault
from optioneer.files.plain.numerals import excerpt
from optioneer.files.plain.source import LARGEST_FILE, refuse

MOST_MEMBERS = 200
MOST_UNPACKED = 50_000_000
"""All that the file may unpack to [bytes]."""

MOST_RATIO, SMALL = 200, 1_000_000
"""What is packed tighter than this is refused, unless it is small [bytes]."""

MOST_SHEETS = 40
MOST_ROWS, MOST_COLUMNS = 5000, 64
MOST_ROWS_IN_ALL, MOST_BLANK = 6_000, 25_000
"""Rows with anything in them, and rows without, of all sheets together."""

MOST_LETTERS = 5000
"""Longest text of a cell."""

Value = str | float | int | bool | date | None
"""What a cell holds; blank texts are none."""

_SAVE = "Save it as a workbook (.xlsx) in a spreadsheet and try again."


@dataclass(frozen=True)
class Grid:
    """The cells of one sheet.

    Parameters
    ----------
    rows
        Its rows from the top; blank cells at the right are left out.
    faults
        Cells that hold no value that can be taken, and sheets that are too large.
    """

    name: str
    rows: tuple[tuple[Value, ...], ...]
    faults: tuple[tuple[str, Fault], ...] = ()


def cell_name(row: int, column: int) -> str:
    """The name of a cell, both counted from 1.

    Examples
    --------
    >>> cell_name(7, 28)
    'AB7'
    """
    return f"{get_column_letter(column)}{row}"


def grids(data: bytes, name: str) -> Mapping[str, Grid]:
    """The sheets of a workbook by name, in their order.

    Parameters
    ----------
    data
        The bytes of an ``.xlsx`` file.
    name
        What the file is called, for the faults.

    Raises
    ------
    CaseError
        It is no workbook, or one that no case needs: too large, too many sheets.
    """
    _guard(data, name)
    formulas = _raw_sheets(data, name, values=False)
    if not any(_formulas(rows) for rows in formulas.values()):
        return {sheet: _grid(sheet, rows, {}) for sheet, rows in formulas.items()}
    values = _raw_sheets(data, name, values=True)
    return {
        sheet: _grid(sheet, rows, _formulas(formulas.get(sheet, ())))
        for sheet, rows in values.items()
    }


_Raw = Sequence[Sequence[tuple[Any, str]]]
"""Values of cells with their types."""


def _guard(data: bytes, name: str) -> None:
    """Refuse what is no zip file of a sensible size, before anything is unpacked."""
    if len(data) > LARGEST_FILE:
        refuse(name, f"is {len(data):,} bytes long", f"At most {LARGEST_FILE:,} bytes are read.")
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        refuse(name, "is an old .xls file or locked with a password", _SAVE)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError) as error:
        raise CaseError([Fault(name, "is no workbook", _SAVE)]) from error
    if len(members) > MOST_MEMBERS:
        refuse(name, f"holds {len(members):,} files", f"At most {MOST_MEMBERS} are unpacked.")
    unpacked = sum(member.file_size for member in members)
    if unpacked > MOST_UNPACKED:
        what = f"would unpack to {unpacked:,} bytes"
        refuse(name, what, f"At most {MOST_UNPACKED:,} bytes are unpacked.")
    for member in members:
        _guard_member(member, name)


def _guard_member(member: zipfile.ZipInfo, name: str) -> None:
    path = PurePosixPath(member.filename.replace("\\", "/"))
    inside = excerpt(member.filename)
    if path.is_absolute() or ".." in path.parts:
        refuse(name, f"holds a file that would lie outside of it, '{inside}'", _SAVE)
    if member.flag_bits & 1:
        refuse(name, "is locked with a password", _SAVE)
    packed = max(1, member.compress_size)
    if member.file_size > SMALL and member.file_size > MOST_RATIO * packed:
        what = f"holds '{inside}', packed {member.file_size // packed:,} times smaller than it is"
        refuse(name, what, f"At most {MOST_RATIO} times is unpacked.")


def _raw_sheets(data: bytes, name: str, *, values: bool) -> dict[str, _Raw]:
    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=values, keep_links=False)
        try:
            sheets = [sheet for sheet in book.worksheets if hasattr(sheet, "iter_rows")]
            if len(sheets) > MOST_SHEETS:
                refuse(name, f"has {len(sheets)} sheets", f"At most {MOST_SHEETS} are read.")
            return _all_rows(sheets, name)
        finally:
            book.close()
    except (CaseError, MemoryError):
        raise
    except Exception as error:  # damaged files raise whatever the reader stumbles over
        what = f"cannot be read as a workbook ({type(error).__name__})"
        raise CaseError([Fault(name, what, _SAVE)]) from error


def _all_rows(sheets: Sequence[Any], name: str) -> dict[str, _Raw]:
    """The rows of all sheets: one row and column more than are taken, so that more can be told."""
    found: dict[str, _Raw] = {}
    filled = blank = 0
    for sheet in sheets:
        rows: list[list[tuple[Any, str]]] = []
        for row in sheet.iter_rows(max_row=MOST_ROWS + 1, max_col=MOST_COLUMNS + 1):
            rows.append(_cells(row))
            filled, blank = filled + bool(rows[-1]), blank + (not rows[-1])
            if filled > MOST_ROWS_IN_ALL or blank > MOST_BLANK:
                refuse(name, f"has more than {MOST_ROWS_IN_ALL:,} rows in all", "Split it.")
        while rows and not rows[-1]:
            rows.pop()
        found[str(sheet.title)] = rows
    return found


def _cells(row: Sequence[Any]) -> list[tuple[Any, str]]:
    """The cells of a row up to the last one that is not blank."""
    count = len(row)
    while count and row[count - 1].value is None:
        count -= 1
    return [(cell.value, str(cell.data_type)) for cell in row[:count]]


def _formulas(rows: _Raw) -> dict[tuple[int, int], str]:
    """The formulas of a sheet by row and column."""
    return {
        (r, c): str(value)
        for r, row in enumerate(rows, 1)
        for c, (value, kind) in enumerate(row, 1)
        if kind == "f"
    }


def _grid(sheet: str, rows: _Raw, formulas: Mapping[tuple[int, int], str]) -> Grid:
    faults = list(_size_faults(rows))
    taken: list[tuple[Value, ...]] = []
    for r, row in enumerate(rows[:MOST_ROWS], 1):
        cells: list[Value] = []
        for c, (raw, kind) in enumerate(row[:MOST_COLUMNS], 1):
            value, wrong = _value(raw, kind, formula=(r, c) in formulas)
            cells.append(value)
            if wrong is not None:
                faults.append((cell_name(r, c), wrong))
        while cells and cells[-1] is None:
            cells.pop()
        taken.append(tuple(cells))
    return Grid(sheet, tuple(taken), tuple(faults))


def _size_faults(rows: _Raw) -> Iterator[tuple[str, Fault]]:
    if len(rows) > MOST_ROWS:
        yield "", Fault("", f"has more than {MOST_ROWS:,} rows", "Split the list.")
    if any(len(row) > MOST_COLUMNS and row[MOST_COLUMNS][0] is not None for row in rows):
        what = f"has more than {MOST_COLUMNS} columns"
        yield "", Fault("", what, "Take away what stands to the right of the table.")


def _value(raw: Any, kind: str, *, formula: bool) -> tuple[Value, Fault | None]:
    """What a cell holds, or what is wrong with it."""
    if kind == "e":
        what = f"holds the error {excerpt(str(raw))}"
        return None, Fault("", what, "Mend it or write the value.")
    if formula and raw is None:
        what = "is a formula whose value was not saved"
        return None, Fault("", what, "Open it in a spreadsheet, save it there, and try again.")
    if isinstance(raw, str):
        return _text(raw)
    if isinstance(raw, datetime):
        return (raw.date() if raw.time() == time() else raw), None
    finite = isinstance(raw, float) and math.isfinite(raw)
    if finite or raw is None or isinstance(raw, bool | date | int):
        return raw, None
    return None, Fault("", f"holds {excerpt(str(raw))}", "Write a number, a date or a text.")


def _text(raw: str) -> tuple[Value, Fault | None]:
    text = raw.replace("_x000D_", "\r").strip()
    if len(text) > MOST_LETTERS:
        what = f"holds a text of {len(text):,} characters"
        return None, Fault("", what, f"At most {MOST_LETTERS:,} are read.")
    return text or None, None
