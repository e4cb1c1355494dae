"""What all workbooks that are written share: text stays text, the same bytes for the same facts."""

import io
import re
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from optioneer.forms.columns import Cell

SAFE = {
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
    "in_memory": True,
}
"""Text of a case is never run, linked or turned into a number."""

CREATED = datetime(2000, 1, 1)  # noqa: DTZ001 - a fixed mark in the file, of no time zone
"""Written as the day of creation, so that the same case gives the same bytes."""

_NO_LETTER = re.compile("[\ufffe\uffff]")
"""What no workbook can hold as it is."""


def new_workbook(title: str) -> tuple[Workbook, io.BytesIO]:
    """An empty workbook, and where its bytes will be once it is closed."""
    buffer = io.BytesIO()
    book = Workbook(buffer, SAFE)
    book.set_properties({"title": title, "created": CREATED, "author": "Optioneer"})
    return book, buffer


def write_cell(
    sheet: Worksheet, row: int, column: int, value: Cell, form: Format | None = None
) -> None:
    """Write a value as what it is; a number that a spreadsheet would round, as text.

    Parameters
    ----------
    sheet, row, column
        The cell, both counted from 0.
    value
        Text, number or date; none only sets the format.
    """
    extra: tuple[Any, ...] = () if form is None else (form,)
    if value is None:
        if form is not None:
            sheet.write_blank(row, column, None, form)
    elif isinstance(value, str):
        sheet.write_string(row, column, _NO_LETTER.sub(_escape, value), *extra)
    elif isinstance(value, date):
        sheet.write_datetime(row, column, value, *extra)
    elif float(f"{value:.15G}") == value:
        sheet.write_number(row, column, value, *extra)
    else:
        text = format(Decimal(repr(value)), "f")
        sheet.write_string(row, column, text.removesuffix(".0"), *extra)


def _escape(match: re.Match[str]) -> str:
    return f"_x{ord(match[0]):04X}_"
