"""A sheet of results under writing: headings, figures, formulas with the values they come to."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.format import Format
from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from optioneer.forms.columns import Cell
from optioneer.money.cents import places
from optioneer.reports.sheets.workbook import write_cell

LINE = 15
"""Height of a line of text [points]."""

TITLE, NOTE, HEAD, FIRST = 0, 1, 3, 4
"""Rows of a sheet, from 0: title, a note, headings, and the first figures."""


class Looks:
    """How cells look, by kind."""

    def __init__(self, book: Workbook, currency: str) -> None:
        self.book, self.currency = book, currency

    @property
    def places(self) -> int:
        """Decimal places of amounts."""
        return places(self.currency)

    @property
    def _amount(self) -> str:
        return "#,##0" + ("." + "0" * self.places if self.places else "")

    def _format(self, **looks: Any) -> Format:
        return self.book.add_format(looks)

    @cached_property
    def title(self) -> Format:
        """Of a sheet."""
        return self._format(bold=True, font_size=14)

    @cached_property
    def head(self) -> Format:
        """Of a column."""
        return self._format(bold=True, bottom=1, bg_color="#E8E8E8", text_wrap=True, valign="top")

    @cached_property
    def money(self) -> Format:
        """Amounts to the cent."""
        return self._format(num_format=self._amount, valign="top")

    @cached_property
    def total(self) -> Format:
        """Sums."""
        return self._format(num_format=self._amount, bold=True, top=1)

    @cached_property
    def factor(self) -> Format:
        """Factors and rates."""
        return self._format(num_format="0.000000")

    @cached_property
    def share(self) -> Format:
        """Shares in whole percents."""
        return self._format(num_format="0%", valign="top")

    @cached_property
    def day(self) -> Format:
        """Dates."""
        return self._format(num_format="yyyy-mm-dd")

    @cached_property
    def text(self) -> Format:
        """Texts that may be long."""
        return self._format(text_wrap=True, valign="top")


@dataclass(frozen=True)
class Formula:
    """A formula of our own, and what it comes to.

    Parameters
    ----------
    text
        The formula, which begins with ``=``.
    value
        Its value, kept in the file for programs that do not calculate.
    """

    text: str
    value: float


@dataclass(frozen=True)
class Leaf:
    """One sheet of results."""

    sheet: Worksheet
    looks: Looks

    def begin(self, title: str, note: str, heads: Sequence[str], widths: Sequence[int]) -> None:
        """Write title, note and headings; freeze and repeat the headings, fit to one page wide."""
        write_cell(self.sheet, TITLE, 0, title, self.looks.title)
        write_cell(self.sheet, NOTE, 0, note)
        for column, head in enumerate(heads):
            write_cell(self.sheet, HEAD, column, head, self.looks.head)
        for column, width in enumerate(widths):
            self.sheet.set_column(column, column, width)
        self.sheet.set_row(HEAD, 2 * LINE)
        self.sheet.freeze_panes(FIRST, 1)
        self.sheet.repeat_rows(HEAD)
        self.sheet.set_landscape()
        self.sheet.fit_to_pages(1, 0)

    def tall(self, row: int, text: str, width: int) -> None:
        """Make a row tall enough for a text in a column of so many characters."""
        self.sheet.set_row(row, LINE * math.ceil(max(len(text), 1) / (0.9 * width)))

    def end(self, rows: int, columns: int) -> None:
        """Set the print area: everything down to the last row."""
        self.sheet.print_area(0, 0, max(rows, FIRST), max(columns - 1, 0))

    def write(self, row: int, column: int, value: "Cell | Formula", look: Format) -> str:
        """Write a value or a formula; the name of the cell.

        Returns
        -------
        str
            Such as ``$C$7``, for formulas.
        """
        if isinstance(value, Formula):
            self.sheet.write_formula(row, column, value.text, look, value.value)
        elif isinstance(value, int | float):
            self.sheet.write_number(row, column, value, look)
        else:
            write_cell(self.sheet, row, column, value, look)
        return str(xl_rowcol_to_cell(row, column, row_abs=True, col_abs=True))
