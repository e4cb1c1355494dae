"""A CSV table of a case as rows of cells; nothing is shifted, guessed or converted."""

import csv
import io
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from optioneer.errors import Fault, did_you_mean
from optioneer.files.plain.numerals import excerpt
from optioneer.files.plain.source import Source, refuse

MOST_ROWS = 5000
MOST_COLUMNS = 64
FORMULA = re.compile(r"'*[=+\-@]")
"""Text of which a spreadsheet would make a formula; in the file it stands behind an apostrophe."""
DELIMITERS = (",", ";", "\t", "|")
_CALLED = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}


@dataclass(frozen=True)
class Record:
    """One record of the file: its cells, and the very text it was read from.

    Parameters
    ----------
    number
        1 for the first, counted as a spreadsheet does: blank ones count, a line break inside
        quotes does not.
    raw
        Its text with quotes and line end.
    """

    number: int
    cells: tuple[str, ...]
    raw: str

    @property
    def blank(self) -> bool:
        """Whether there is nothing in it."""
        return not any(cell.strip() for cell in self.cells)


@dataclass(frozen=True)
class CsvTable:
    """The rows of a table under its headings.

    Parameters
    ----------
    columns
        Headings; '' for a column without one (all its cells are blank).
    rows
        The records below, blank ones left out.
    torn
        Those with more or fewer cells than there are headings.
    faults
        What is wrong with headings and with the lengths of rows.
    """

    delimiter: str
    columns: tuple[str, ...]
    heading: Record
    rows: tuple[Record, ...]
    torn: tuple[Record, ...]
    faults: tuple[Fault, ...]

    @property
    def decimal_comma(self) -> bool:
        """Whether numbers may have a decimal comma: cells are not separated by commas."""
        return self.delimiter != ","

    def cells(self, row: Record) -> Mapping[str, str]:
        """The cells of a row that are not blank, by column, stripped."""
        pairs = zip(self.columns, row.cells, strict=True)
        return {column: cell.strip() for column, cell in pairs if column and cell.strip()}


def table(source: Source, known: Collection[str], required: Collection[str]) -> CsvTable:
    """The table in a text.

    The separator is the one under which the headings are known: comma, semicolon, tab or bar. Each
    row has exactly one cell a heading; a shorter or longer one could only be read by guessing which
    cell is missing.

    Parameters
    ----------
    known
        Headings that may occur.
    required
        Headings that must.

    Raises
    ------
    CaseError
        It is empty, has no known heading, quotes that do not close, or too many rows or columns.
    """
    delimiter = _delimiter(source, known)
    read = records(source, delimiter)
    heading = next((record for record in read if not record.blank), None)
    if heading is None:
        refuse(source.name, "is empty", f"Its first row holds the headings {', '.join(required)}.")
    columns = tuple(cell.strip() for cell in heading.cells)
    if len(columns) > MOST_COLUMNS:
        refuse(source.name, f"has {len(columns)} columns", f"At most {MOST_COLUMNS} are read.")
    below = [record for record in read if record.number > heading.number and not record.blank]
    faults = [
        *_heading_faults(source.name, columns, below, known=known, required=required),
        *_length_faults(source.name, columns, below, delimiter),
    ]
    whole = tuple(record for record in below if len(record.cells) == len(columns))
    torn = tuple(record for record in below if len(record.cells) != len(columns))
    return CsvTable(delimiter, columns, heading, whole, torn, tuple(faults))


def guarded(text: str) -> str:
    """A free text as a cell of which no spreadsheet makes a formula."""
    return f"'{text}" if FORMULA.match(text) else text


def unguarded(cell: str) -> str:
    """The free text in such a cell."""
    return cell[1:] if cell[:1] == "'" and FORMULA.match(cell) else cell


def records(source: Source, delimiter: str) -> Sequence[Record]:
    """Every record of the text, blank ones too.

    Raises
    ------
    CaseError
        Its quotes do not close, a cell is enormous, or there are too many records.
    """
    lines = list(io.StringIO(source.text, newline=""))
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    found: list[Record] = []
    end = 0
    try:
        for cells in reader:
            start, end = end, reader.line_num
            found.append(Record(len(found) + 1, tuple(cells), "".join(lines[start:end])))
            if len(found) > MOST_ROWS:
                refuse(source.name, f"has more than {MOST_ROWS:,} rows", "Split the list.")
    except csv.Error as error:
        where = f"{source.name}, line {max(1, reader.line_num)}"
        refuse(where, f"cannot be read as a table ({error})", _QUOTES)
    return found


_QUOTES = 'Check the quotation marks: a cell that begins with " ends with ", and holds "" for ".'


def _delimiter(source: Source, known: Collection[str]) -> str:
    lines = (line for line in io.StringIO(source.text) if line.strip(' \r\n\t,;|"'))
    first = next(lines, "")[:10_000]

    def headings(delimiter: str) -> int:
        cells = [cell.strip().strip('"') for cell in first.split(delimiter)]
        return sum(cell in known for cell in cells)

    best = max(DELIMITERS, key=headings)
    if first and not headings(best):
        hint = did_you_mean(first.split(",")[0].strip(), known)
        refuse(
            f"{source.name}, row 1",
            f"'{excerpt(first.strip())}' holds no known heading",
            f"The first row names the columns. {hint}",
        )
    return best


def _heading_faults(
    name: str,
    columns: Sequence[str],
    rows: Sequence[Record],
    *,
    known: Collection[str],
    required: Collection[str],
) -> Iterator[Fault]:
    for position, column in enumerate(columns, 1):
        where = f"{name}, column {position}"
        if column and column not in known:
            hint = did_you_mean(column, known)
            yield Fault(where, f"'{excerpt(column)}' is not a known heading", hint)
        elif column and column in columns[: position - 1]:
            yield Fault(where, f"the heading '{column}' stands twice", "Keep one of the two.")
        elif not column and any(any(r.cells[position - 1 : position]) for r in rows):
            yield Fault(where, "has no heading", "Name the column or empty it.")
    for column in required:
        if column not in columns:
            yield Fault(name, f"the column '{column}' is missing", "Add it to the first row.")


def _length_faults(
    name: str, columns: Sequence[str], rows: Sequence[Record], delimiter: str
) -> Iterator[Fault]:
    mark = _CALLED[delimiter]
    for row in rows:
        count = len(row.cells)
        if count == len(columns):
            continue
        what = f"has {count} cells where the first row has {len(columns)}"
        if count < len(columns):
            allowed = f"Fill it up with {mark}s at its end."
        elif delimiter == ";":
            allowed = 'Put a list in quotes, "a;b", or take out a semicolon.'
        else:
            allowed = f"Put a cell that holds a {mark} in quotes, or take out a {mark}."
        yield Fault(f"{name}, row {row.number}", what, allowed)
