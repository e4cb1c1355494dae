"""The entry workbook read back into a case: every fault of every sheet at once, or none."""

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from optioneer.errors import CaseError, Fault, did_you_mean
from optioneer.files.case.options_file import COLUMNS, FREE_TEXTS, read_options
from optioneer.files.case.part import CasePart
from optioneer.files.case.read import Reading, case_of_parts
from optioneer.files.case.sources_file import KEYS as SOURCES_KEYS
from optioneer.files.case.sources_file import sources_part
from optioneer.files.case.toml_files import TOML_FILES, TomlFile
from optioneer.files.plain.document import Document
from optioneer.files.plain.numerals import excerpt, numeral
from optioneer.files.plain.source import Source, refuse
from optioneer.files.plain.spreadsheet import Value, cell_name, grids
from optioneer.files.plain.table import guarded
from optioneer.files.workbook.cell_values import cell_words
from optioneer.files.workbook.sheet_tables import Book, SheetRows, form_values, rows_of
from optioneer.files.workbook.sheet_values import Filler
from optioneer.forms.schema import OPTIONS, PAYING, SITE, SOURCES
from optioneer.forms.sheets import FORMS, GUIDE, LISTINGS, LISTS, ORDER

_PARTS = {**TOML_FILES, SOURCES: TomlFile(SOURCES_KEYS, sources_part)}

_REQUIRED = ("machine", "dates")
"""Tables that a case must have."""

_OPTIONAL = (PAYING, SITE, SOURCES)
"""Files that a case does without when all of their sheets are blank."""


def workbook_case(data: bytes, *, name: str, book: str = "workbook") -> Reading:
    """The case in an entry workbook, with the notices about it.

    Parameters
    ----------
    data
        The bytes of the ``.xlsx`` file, such as an upload.
    name
        Name of the case.
    book
        What the file is called, for the faults; shown, never used as a path.

    Raises
    ------
    CaseError
        Anything is wrong with it: all faults of all sheets, each with sheet and cell.
    """
    label = excerpt(book, 100)
    found = Book(label, grids(data, label))
    _note_sheets(found)
    option_rows = _option_rows(found)
    parts = [*_parts(found), _options(found, option_rows)]
    if found.frame:
        raise CaseError(_in_order(found.frame))
    locate = _Locator(found, option_rows)
    try:
        read = case_of_parts(parts, name)
    except CaseError as error:
        earlier = [fault.where.partition(" (")[0] for fault in found.faults]
        more = [locate(fault) for fault in error.faults]
        kept = [fault for fault in more if fault.where.partition(" (")[0] not in earlier]
        raise CaseError(_in_order([*found.faults, *kept] or more)) from error
    if found.faults:
        raise CaseError(_in_order(found.faults))
    strays = tuple(_strays(found))
    return Reading(read.case, (*strays, *(locate(notice) for notice in read.notices)))


def _in_order(faults: Sequence[Fault]) -> list[Fault]:
    """Faults in the order of the sheets."""

    def position(fault: Fault) -> int:
        match = re.search(r"sheet '([^']*)'", fault.where)
        return ORDER.index(match[1]) if match and match[1] in ORDER else -1

    return sorted(dict.fromkeys(faults), key=position)


def _note_sheets(book: Book) -> None:
    """Note what is wrong with the sheets as such."""
    if not {FORMS[0].name, FORMS[1].name} & book.sheets.keys():
        names = ", ".join(f"'{excerpt(name)}'" for name in list(book.sheets)[:3])
        allowed = "Make one with: optioneer workbook --new --out FILE."
        refuse(book.name, f"is no entry workbook: it has the sheets {names}", allowed)
    for name in ORDER:
        if name not in book.sheets:
            others = [sheet for sheet in book.sheets if sheet not in ORDER]
            hint = did_you_mean(name, others).partition(" Allowed")[0] if others else ""
            hint = hint if hint.startswith("Did you mean") else ""
            allowed = f"{hint} Keep every sheet, blank if need be.".strip()
            book.frame.append(Fault(book.name, f"the sheet '{name}' is missing", allowed))
        else:
            for cell, fault in book.sheets[name].faults:
                book.fault(name, cell, fault.what, fault.allowed)


def _strays(book: Book) -> Iterator[Fault]:
    """A notice for each sheet that is not read."""
    for name in book.sheets:
        if name not in {*ORDER, GUIDE, LISTS}:
            yield Fault(f"{book.name}, sheet '{excerpt(name)}'", "is not read")


def _parts(book: Book) -> Iterator[CasePart]:
    values: dict[str, dict[str, Any]] = {file: {} for file in _PARTS}
    for form in FORMS:
        for table, found in form_values(book, form).items():
            if not table:
                values[form.file].update(found)
            elif found or table in _REQUIRED:
                values[form.file][table] = found
    for listing in LISTINGS:
        if listing.file != OPTIONS:
            Filler(book, listing, values[listing.file]).fill()
    for name, file in _PARTS.items():
        if values[name] or name not in _OPTIONAL:
            yield file.part(Document(name, values[name], file.keys))


@dataclass(frozen=True)
class _OptionRows:
    """The sheet of options as a table: its text, and the row of the sheet behind each line."""

    text: str
    numbers: tuple[int, ...]
    rows: SheetRows


def _option_rows(book: Book) -> _OptionRows:
    listing = next(one for one in LISTINGS if one.file == OPTIONS)
    rows = rows_of(book, listing)
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    headings = [heading for heading in rows.letters if heading in COLUMNS]
    writer.writerow(headings)
    for row in rows.rows:
        writer.writerow([_text(heading, row.cells.get(heading)) for heading in headings])
    return _OptionRows(text.getvalue(), (rows.heading, *(row.number for row in rows.rows)), rows)


def _text(heading: str, cell: Value) -> str:
    """A cell as a table of the case writes it."""
    if isinstance(cell, str):
        return guarded(cell) if heading in FREE_TEXTS else cell
    if cell is None or isinstance(cell, bool):
        return {True: "yes", False: "no", None: ""}[cell]
    return numeral(cell) if isinstance(cell, int | float) else cell_words(cell)


def _options(book: Book, rows: _OptionRows) -> CasePart:
    if not rows.rows.letters:  # told already, or the sheet is missing
        return CasePart({}, () if book.faults else (Fault(OPTIONS, "holds no option"),))
    try:
        return read_options(Source(OPTIONS, rows.text))
    except CaseError as error:
        return CasePart({}, error.faults)


_OPTION = re.compile(
    r"options\.csv(?:, row (?P<row>\d+))?(?P<rest>(?:, option '[^']*')?(?:, (?P<column>\w+))?)"
)


@dataclass(frozen=True)
class _Locator:
    """From a place in a file to the cell behind it."""

    book: Book
    options: _OptionRows

    def __call__(self, fault: Fault) -> Fault:
        """The same fault at its cell; in its sentence too, nothing is missing but blank."""
        where = self._option(fault) or self._other(fault)
        what = "is blank" if fault.what == "is missing" else fault.what
        return Fault(where, what, fault.allowed)

    def _option(self, fault: Fault) -> str:
        match = _OPTION.match(fault.where)
        if match is None:
            return ""
        number = int(match["row"] or 0)
        rows = self.options
        known = 0 < number <= len(rows.numbers)
        cell = ""
        if known:
            position = rows.rows.letters.get(match["column"] or "option", 2)
            cell = cell_name(rows.numbers[number - 1], position)
        rest = match["rest"].removeprefix(", ")
        return self.book.where("options", cell) + (f" ({rest})" if rest else "")

    def _other(self, fault: Fault) -> str:
        file, _, place = fault.where.partition(", ")
        start = fault.where
        while start not in self.book.cells and ", " in start:
            start = start.rpartition(", ")[0]
        said = f" ({place})" if place else ""
        if start in self.book.cells:
            return self.book.where(*self.book.cells[start]) + said
        sheets = [one.name for one in FORMS if one.file == file]
        return (self.book.where(sheets[0]) if sheets else f"{self.book.name}: {file}") + said
