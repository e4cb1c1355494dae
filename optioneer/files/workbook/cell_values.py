"""A cell of a sheet as the value that a file would state; nothing is guessed."""

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any

from optioneer.errors import Fault
from optioneer.files.case.options_file import NO, YES
from optioneer.files.plain.numerals import excerpt, number
from optioneer.files.plain.spreadsheet import Value
from optioneer.forms.columns import EMPTY, NOTHING, Column, Kind

_DATE = "Write a date as year-month-day: 2027-02-01."
_NUMBER = "Write a number: 1234.50."


def sheet_value(column: Column, cell: Value) -> Any:
    """What a cell that is not blank states.

    Returns
    -------
    Any
        The value as a file would state it, or a `Fault` without a place.
    """
    return _BY_KIND[column.kind](column, cell)


def cell_words(cell: Value) -> str:
    """What a cell holds, for a message."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return f"{cell:.15g}"
    if isinstance(cell, datetime):
        return cell.isoformat(sep=" ", timespec="minutes")
    return cell.isoformat() if isinstance(cell, date) else f"'{excerpt(str(cell))}'"


def _no(cell: Value, what: str, allowed: str) -> Fault:
    return Fault("", f"{cell_words(cell)} {what}", allowed)


def _text(column: Column, cell: Value) -> Any:
    if isinstance(cell, str):
        return "" if cell == EMPTY and (column.default or column.required) else cell
    if isinstance(cell, date | bool):
        allowed = "Format the cell as text and write it again."
        return _no(cell, "is no text", allowed)
    return f"{cell:.15g}"


def _number(column: Column, cell: Value) -> Any:
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        return cell
    if not isinstance(cell, str):
        return _no(cell, "is not a number", _NUMBER)
    found = number(cell, "", comma=True, money=True)
    spelled = any(character.isalpha() for character in cell)
    return cell if column.typed and spelled else found


def _whole(_: Column, cell: Value) -> Any:
    if isinstance(cell, str) and cell.removeprefix("-").isascii() and cell[-1:].isdigit():
        digits = cell.removeprefix("-")
        if digits.isdigit() and len(digits) < 30:  # noqa: PLR2004 - beyond any whole number of a case
            return int(cell)
    if isinstance(cell, float) and cell.is_integer():
        return int(cell)
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        return cell
    return _no(cell, "is not a whole number", "Write a whole number: 4.")


def _either(column: Column, cell: Value) -> Any:
    if isinstance(cell, str) and not cell[:1].isdigit():
        return cell
    return _number(column, cell)


def _one_or_three(column: Column, cell: Value) -> Any:
    """A number, or the numbers between semicolons."""
    if not isinstance(cell, str) or ";" not in cell:
        return _number(column, cell)
    found = [_number(column, part.strip()) for part in cell.split(";") if part.strip()]
    return next((one for one in found if isinstance(one, Fault)), found)


def _date(_: Column, cell: Value) -> Any:
    if isinstance(cell, str):
        try:
            return date.fromisoformat(cell)
        except ValueError:
            return _no(cell, "is not a date", _DATE)
    if isinstance(cell, date) and not isinstance(cell, datetime):
        return cell
    return _no(cell, "is not a date", _DATE)


def _day(column: Column, cell: Value) -> Any:
    return cell if isinstance(cell, str) else _date(column, cell)


def _yes_or_no(_: Column, cell: Value) -> Any:
    word = cell_words(cell).strip("'").lower()
    if word in YES + NO:
        return word in YES
    return _no(cell, "is neither yes nor no", "Write yes or no.")


def _list(column: Column, cell: Value) -> Any:
    if cell == NOTHING:
        return []
    entries = [part.strip() for part in cell.split(";")] if isinstance(cell, str) else [cell]
    found = [_BY_KIND[column.entry](column, entry) for entry in entries if entry != ""]
    return next((one for one in found if isinstance(one, Fault)), found)


_BY_KIND: Mapping[Kind, Callable[[Column, Value], Any]] = {
    "text": _text,
    "word": _text,
    "number": _number,
    "whole": _whole,
    "either": _either,
    "one-or-three": _one_or_three,
    "date": _date,
    "day": _day,
    "yes-no": _yes_or_no,
    "list": _list,
}
