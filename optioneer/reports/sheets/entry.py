"""The entry workbook: a case as sheets that people fill in, with drop-downs, units and notes."""

import math
from collections.abc import Sequence
from datetime import date
from functools import cached_property
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.format import Format
from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.worksheet import Worksheet

from optioneer.forms.columns import Column
from optioneer.forms.guide import GUIDE_LINES, blank_means, column_text, example
from optioneer.forms.schema import FormTable
from optioneer.forms.sheets import (
    FORM_HEADS,
    FORMS,
    GUIDE,
    HEADING,
    LISTINGS,
    LISTS,
    MARKS,
    ORDER,
    REFERS,
    Form,
)
from optioneer.model.case import Case
from optioneer.reports.sheets.workbook import new_workbook, write_cell

ENTRIES, SPARE = 500, 100
"""Rows of a listing that take entries: so many, or so many more than are filled."""

TITLE_ROW, HEAD_ROW = 0, 1
FIRST_ROW = HEAD_ROW + 1 + len(MARKS)
"""Rows of a listing, from 0: title, headings, and the first entry."""

VALUE = FORM_HEADS.index("value")
_WIDE, _NARROW, _MARK, _TEXT = 26, 13, 9, 70
_LINE, _MEANING = 15, 80
"""Height of a line of the guide [points]; characters in a line of meanings."""

_LONGEST_MESSAGE, _LONGEST_TITLE = 255, 32
"""What a spreadsheet takes as input message and its title [characters]."""

_ALLOWED = (
    *("format_cells", "format_columns", "format_rows"),
    *("insert_rows", "delete_rows", "sort", "autofilter"),
)
"""What may be done to a locked sheet; there is no password."""

_TEXTS = ("text", "word", "list", "yes-no")


def entry_workbook(case: Case | None) -> bytes:
    """The bytes of an entry workbook, filled with a case; without one it is blank.

    Headings, units and examples are locked without a password, cells for entries are not. The same
    case gives the same bytes.

    Parameters
    ----------
    case
        A checked case, or none.
    """
    title = "A new case" if case is None else case.machine.name
    book, buffer = new_workbook(title)
    _Entry(book, case).write(title)
    book.close()
    return buffer.getvalue()


def parent_column(listing: FormTable) -> Column:
    """The column that names what a row belongs to."""
    meaning = f"Id of the {listing.owner} it belongs to."
    parent = listing.owner
    return Column(parent, parent, parent, "text", meaning=meaning, required=True)


def all_columns(listing: FormTable) -> tuple[Column, ...]:
    """The columns of a listing as they stand in its sheet, after the first that marks rows."""
    return (*((parent_column(listing),) if listing.owner else ()), *listing.columns)


class _Entry:
    """The workbook under writing."""

    def __init__(self, book: Workbook, case: Case | None) -> None:
        self.book, self.case = book, case
        self.sheets: dict[str, Worksheet] = {
            name: book.add_worksheet(name) for name in (GUIDE, *ORDER, LISTS)
        }
        self.words = self._lists()

    def write(self, title: str) -> None:
        """Fill every sheet."""
        self._guide(title)
        for listing in LISTINGS:
            self._listing(listing, self.sheets[listing.sheet])
        for form in FORMS:
            self._form(form, self.sheets[form.name])
        for name in ORDER:
            sheet = self.sheets[name]
            sheet.protect("", dict.fromkeys(_ALLOWED, True))
            sheet.set_landscape()
            sheet.fit_to_pages(1, 0)
        self.sheets[GUIDE].protect("")
        self.sheets[LISTS].protect("")
        self.sheets[LISTS].hide()
        self.sheets[GUIDE].activate()

    @cached_property
    def title(self) -> Format:
        return self.book.add_format({"bold": True, "font_size": 14})

    @cached_property
    def head(self) -> Format:
        looks = {"bold": True, "bottom": 1, "bg_color": "#E8E8E8"}
        return self.book.add_format(looks)

    @cached_property
    def faint(self) -> Format:
        looks = {"italic": True, "font_color": "#595959"}
        return self.book.add_format(looks)

    @cached_property
    def wrapped(self) -> Format:
        return self.book.add_format({"text_wrap": True, "valign": "top"})

    @cached_property
    def forms(self) -> dict[str, Format]:
        """How unlocked cells look, by kind."""
        text, day = {"num_format": "@"}, {"num_format": "yyyy-mm-dd"}
        looks = {"text": text, "date": day, "plain": {}}
        return {
            name: self.book.add_format({"locked": False, **look}) for name, look in looks.items()
        }

    def _look(self, column: Column, value: object = None) -> Format:
        if isinstance(value, date) or column.kind == "date":
            return self.forms["date"]
        return self.forms["text" if column.kind in _TEXTS else "plain"]

    def _lists(self) -> dict[tuple[str, ...], str]:
        """Where the words of each drop-down stand in the hidden sheet."""
        columns = [column for listing in LISTINGS for column in listing.columns]
        columns += [c for form in FORMS for table in form.tables.values() for c in table.columns]
        found: dict[tuple[str, ...], str] = {}
        for column in columns:
            if column.words and column.words not in found and column.kind != "list":
                position = len(found)
                write_cell(self.sheets[LISTS], 0, position, column.heading, self.head)
                for row, word in enumerate(column.words, 1):
                    write_cell(self.sheets[LISTS], row, position, word)
                letter = xl_col_to_name(position)
                found[column.words] = f"={LISTS}!${letter}$2:${letter}${len(column.words) + 1}"
        return found

    def _guide(self, title: str) -> None:
        sheet = self.sheets[GUIDE]
        write_cell(sheet, 0, 0, title, self.title)
        for row, line in enumerate(GUIDE_LINES, 1):
            sheet.merge_range(row, 0, row, 5, line, self.wrapped)
            sheet.set_row(row, 32)
        top = len(GUIDE_LINES) + 2
        heads = ("sheet", "key", "unit", "blank means", "example", "meaning")
        for position, head in enumerate(heads):
            write_cell(sheet, top, position, head, self.head)
        for row, (name, column) in enumerate(_everything(), top + 1):
            cells = (name, column.heading, column.unit, blank_means(column), example(column))
            for position, cell in enumerate((*cells, column.meaning)):
                write_cell(sheet, row, position, cell, self.wrapped)
            sheet.set_row(row, _LINE * math.ceil(max(1, len(column.meaning)) / _MEANING))
        for position, width in enumerate((16, 24, 14, 24, 24, 90)):
            sheet.set_column(position, position, width)
        sheet.repeat_rows(top)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)

    def _listing(self, listing: FormTable, sheet: Worksheet) -> None:
        columns = all_columns(listing)
        rows = [] if self.case is None else list(listing.rows(self.case))
        last = FIRST_ROW + max(ENTRIES, len(rows) + SPARE)
        write_cell(sheet, TITLE_ROW, 0, listing.lists, self.title)
        sheet.set_column(0, 0, _MARK)
        for row, mark in enumerate((HEADING, *MARKS), HEAD_ROW):
            write_cell(sheet, row, 0, mark, self.faint)
        for position, column in enumerate(columns, 1):
            sheet.set_column(position, position, _width(column), self._look(column))
            write_cell(sheet, HEAD_ROW, position, column.heading, self.head)
            write_cell(sheet, HEAD_ROW + 1, position, column.unit or column.kind, self.faint)
            write_cell(sheet, HEAD_ROW + 2, position, example(column), self.faint)
            sheet.write_comment(HEAD_ROW, position, column_text(column), {"x_scale": 2})
            self._drop_down(listing.sheet, column, sheet, (FIRST_ROW, position, last, position))
        for row, cells in enumerate(rows, FIRST_ROW):
            for position, (column, cell) in enumerate(zip(columns, cells, strict=True), 1):
                if cell is not None:
                    write_cell(sheet, row, position, cell, self._look(column, cell))
        sheet.freeze_panes(FIRST_ROW, 2)
        sheet.repeat_rows(HEAD_ROW)

    def _form(self, form: Form, sheet: Worksheet) -> None:
        write_cell(sheet, 0, 0, form.title, self.title)
        for position, head in enumerate(FORM_HEADS):
            write_cell(sheet, 1, position, head, self.head)
        row = 2
        for key, table in form.tables.items():
            facts = () if self.case is None else table.facts(self.case)
            for column in table.columns:
                value = column.of(facts[0][1], told=True) if facts else None
                self._value(sheet, row, column, (key or form.name, value))
                self._drop_down(form.name, column, sheet, (row, VALUE, row, VALUE))
                row += 1
            row += 1
        for position, width in enumerate((12, 24, 28, 14, 18, 24, _TEXT)):
            sheet.set_column(position, position, width)
        sheet.freeze_panes(2, VALUE)
        sheet.repeat_rows(1)

    def _value(self, sheet: Worksheet, row: int, column: Column, said: tuple[str, Any]) -> None:
        table, value = said
        write_cell(sheet, row, 0, table)
        write_cell(sheet, row, 1, column.heading, self.head)
        write_cell(sheet, row, VALUE, value, self._look(column, value))
        for position, text in enumerate(
            (column.unit, blank_means(column), example(column), column.meaning), VALUE + 1
        ):
            write_cell(sheet, row, position, text, self.faint)

    def _drop_down(
        self, name: str, column: Column, sheet: Worksheet, span: tuple[int, int, int, int]
    ) -> None:
        """A list to choose from where there is one, and a message with the meaning everywhere."""
        title, message = column.heading[:_LONGEST_TITLE], column_text(column)[:_LONGEST_MESSAGE]
        rule: dict[str, Any] = {"input_title": title, "input_message": message}
        source = self._refers(name, column) or self.words.get(column.words, "")
        if source and column.kind != "list":
            strict = column.kind in {"word", "yes-no", "whole"}
            rule |= {"validate": "list", "source": source, "show_error": strict}
            rule |= {"error_title": title, "error_message": message} if strict else {}
        else:
            rule |= {"validate": "any"}
        sheet.data_validation(*span, rule)

    def _refers(self, name: str, column: Column) -> str:
        """The cells of another sheet that a column names, as a list to choose from."""
        target = REFERS.get((name, column.heading))
        if target is None:
            return ""
        listing = next(one for one in LISTINGS if one.sheet == target[0])
        headings = [one.heading for one in all_columns(listing)]
        letter = xl_col_to_name(headings.index(target[1]) + 1)
        return f"={target[0]}!${letter}${FIRST_ROW + 1}:${letter}${FIRST_ROW + ENTRIES}"


def _everything() -> Sequence[tuple[str, Column]]:
    """Every column and key with the name of its sheet, in the order of the sheets."""
    found: dict[str, list[Column]] = {one.sheet: list(all_columns(one)) for one in LISTINGS}
    for form in FORMS:
        found[form.name] = [c for table in form.tables.values() for c in table.columns]
    return [(name, column) for name in ORDER for column in found[name]]


def _width(column: Column) -> int:
    wide = column.kind == "list" or column.heading in {"name", "note", "what", "id", "option"}
    return max(_WIDE if wide else _NARROW, len(column.heading) + 2)
