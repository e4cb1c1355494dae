"""``options.csv``: one row an option."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from optioneer.errors import Fault
from optioneer.files.case.part import CasePart
from optioneer.files.plain.entry import entry
from optioneer.files.plain.numerals import excerpt, number
from optioneer.files.plain.sentences import id_like
from optioneer.files.plain.source import Source, refuse
from optioneer.files.plain.table import CsvTable, Record, table, unguarded
from optioneer.forms.columns import CORNERS, Column, columns
from optioneer.model.catalogue import Catalogue, Option

MOST_OPTIONS = 500

NO_VISIT = "none"
"""What `call_out` says when a retrofit needs no visit."""

YES, NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")

LIST_SEPARATOR = ";"


FREE_TEXTS = ("name", "note")


@dataclass
class Line:
    """One row under reading.

    Parameters
    ----------
    where
        File and row, with the option's id where it has one.
    raw
        Keys and values for the model, so far.
    """

    where: str
    table: CsvTable
    raw: dict[str, Any] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def number(self, column: str, cell: str, *, money: bool) -> float | None:
        """The number in a cell; none after noting what is wrong with it."""
        comma = self.table.decimal_comma
        found = number(cell, f"{self.where}, {column}", comma=comma, money=money)
        if isinstance(found, Fault):
            self.faults.append(found)
            return None
        return found


CellReader = Callable[[Line, str, str], None]
"""Takes a column and its cell, not blank, into the row under reading."""


def _text(line: Line, column: str, cell: str) -> None:
    line.raw[column] = cell


def _free_text(line: Line, column: str, cell: str) -> None:
    line.raw[column] = unguarded(cell)


def _money(line: Line, column: str, cell: str) -> None:
    line.raw[column] = line.number(column, cell, money=True)


def _number(line: Line, column: str, cell: str) -> None:
    line.raw[column] = line.number(column, cell, money=False)


def _list(line: Line, column: str, cell: str) -> None:
    line.raw[column] = tuple(part.strip() for part in cell.split(LIST_SEPARATOR) if part.strip())


def _visit(line: Line, column: str, cell: str) -> None:
    line.raw[column] = None if cell == NO_VISIT else cell


def _yes_or_no(line: Line, column: str, cell: str) -> None:
    if cell.lower() in YES + NO:
        line.raw[column] = cell.lower() in YES
    else:
        where = f"{line.where}, {column}"
        what = f"'{excerpt(cell)}' is neither yes nor no"
        line.faults.append(Fault(where, what, "Write yes or no; blank means no."))


def _corner(line: Line, column: str, cell: str) -> None:
    """One of the three numbers of a range, such as ``multiplier_low``."""
    name, _, part = column.rpartition("_")
    line.raw.setdefault(name, {})[part] = line.number(column, cell, money=False)


_STATED = {column.heading: column for column in columns(Option)}
"""What the columns of the table state, in the order of the format."""

_SPECIAL: Mapping[str, CellReader] = {"call_out": _visit, **dict.fromkeys(FREE_TEXTS, _free_text)}
_BY_KIND: Mapping[str, CellReader] = {"yes-no": _yes_or_no, "list": _list, "number": _number}


def _cell_reader(column: Column) -> CellReader:
    """How the cells of a column are taken."""
    if column.part is not None:
        return _corner
    if column.is_money:
        return _money
    return _SPECIAL.get(column.heading) or _BY_KIND.get(column.kind, _text)


COLUMNS: Mapping[str, CellReader] = {name: _cell_reader(column) for name, column in _STATED.items()}
"""The columns of the table, in the order of the format, and how a cell is taken."""

REQUIRED = tuple(name for name, column in _STATED.items() if column.required)

NUMBERS = tuple(
    name for name, c in _STATED.items() if c.part is not None or c.is_money or c.kind == "number"
)
"""Columns of numbers, which stand with the decimal mark of the table."""

_RANGES = tuple(dict.fromkeys(c.key for c in _STATED.values() if c.part is not None))
"""Fields that three columns state."""

_STAND_IN: Mapping[str, Any] = {"name": "-", "price": 0.0, "fitting": "factory-only"}


def read_options(source: Source) -> CasePart:
    """The catalogue.

    Parameters
    ----------
    source
        The text of ``options.csv``.

    Raises
    ------
    CaseError
        The text is no table that can be read at all.
    """
    rows = table(source, COLUMNS, REQUIRED)
    if not rows.rows and not rows.torn:
        refuse(source.name, "holds no option", "Write one row an option.")
    if len(rows.rows) > MOST_OPTIONS:
        refuse(source.name, f"has {len(rows.rows)} options", f"At most {MOST_OPTIONS} are taken.")
    faults = list(rows.faults)
    taken: dict[str, tuple[int, Option]] = {}
    for record, option, found in _options(source.name, rows):
        faults.extend(found)
        if option is not None and option.option in taken:
            first = taken[option.option][0]
            where = f"{source.name}, row {record.number}, option '{option.option}', option"
            what = f"the id '{option.option}' is already taken by row {first}"
            faults.append(Fault(where, what, "Each option has an id of its own."))
        elif option is not None:
            taken[option.option] = (record.number, option)
    for name in _lost(rows):
        taken.setdefault(name, (0, Option(option=name, **_STAND_IN)))
    catalogue = Catalogue(options=tuple(option for _, option in taken.values()))
    numbers = {name: row for name, (row, _) in taken.items() if row}
    return CasePart({"catalogue": catalogue}, tuple(faults), numbers)


def _options(
    name: str, rows: CsvTable
) -> Iterator[tuple[Record, Option | None, tuple[Fault, ...]]]:
    missing = [column for column in REQUIRED if column not in rows.columns]
    for record in rows.rows:
        cells = rows.cells(record)
        label = f", option '{excerpt(cells['option'])}'" if "option" in cells else ""
        option, faults = option_of(cells, rows, f"{name}, row {record.number}{label}")
        told = [fault for fault in faults if not _of_columns(fault, missing)]
        yield record, option, tuple(told)


def _lost(rows: CsvTable) -> Iterator[str]:
    """Ids of rows of which no option was made, so that what refers to them is not refused too."""
    if rows.columns[0] != "option":
        return
    for record in (*rows.rows, *rows.torn):
        if record.cells[0].strip():
            yield id_like(record.cells[0])


def _of_columns(fault: Fault, columns: list[str]) -> bool:
    """Whether a fault only repeats that a whole column is missing."""
    return any(fault.where.endswith(f", {column}") for column in columns)


def option_of(
    cells: Mapping[str, str], rows: CsvTable, where: str
) -> tuple[Option | None, tuple[Fault, ...]]:
    """The option of one row, and what is wrong with the row.

    Parameters
    ----------
    cells
        Its cells that are not blank, by column.
    rows
        The table it stands in.
    where
        File, row and id, for the faults.
    """
    line = Line(where, rows)
    for column, cell in cells.items():
        if column in COLUMNS:
            COLUMNS[column](line, column, cell)
    refused = {column for column in COLUMNS if f"{where}, {column}" in _places(line)}
    raw = {key: value for key, value in line.raw.items() if _complete(value, key, refused)}
    if "standard" in refused:
        raw["standard"] = "delete_credit" in raw
    line.faults.extend(_gaps(line, cells))
    found = entry(Option, raw, _where(where), stand_in=_STAND_IN)
    told = _places(line)
    more = [_of_a_cell(fault) for fault in found.faults if fault.where not in told]
    return found.fact, (*line.faults, *more)


def _of_a_cell(fault: Fault) -> Fault:
    """A fault in the words of a table, where nothing is missing but cells are blank."""
    what = "is blank" if fault.what == "is missing" else fault.what
    return Fault(fault.where, what, fault.allowed)


def _places(line: Line) -> set[str]:
    return {fault.where for fault in line.faults}


def _complete(value: Any, key: str, refused: set[str]) -> bool:
    """Whether a value was read whole, so that the model is asked about it."""
    if isinstance(value, dict):
        return len(value) == len(CORNERS) and None not in value.values()
    return key not in refused


def _gaps(line: Line, cells: Mapping[str, str]) -> Iterator[Fault]:
    """A fault for each range of which only some of the three numbers are given."""
    for name in _RANGES:
        blank = [f"{name}_{corner}" for corner in CORNERS if f"{name}_{corner}" not in cells]
        if 0 < len(blank) < len(CORNERS):
            where = f"{line.where}, {blank[0]}"
            yield Fault(where, "is blank", "Give low, likely and high, or none of the three.")


def _where(start: str) -> Callable[[tuple[int | str, ...]], str]:
    def where(path: tuple[int | str, ...]) -> str:
        if not path:
            return start
        if path[0] in _RANGES:
            corner = path[1] if len(path) > 1 else f"low to {path[0]}_high"
            return f"{start}, {path[0]}_{corner}"
        return f"{start}, {path[0]}"

    return where
