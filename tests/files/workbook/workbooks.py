"""Entry workbooks as people leave them: edited, damaged, or never meant well."""

import io
import zipfile
from collections.abc import Mapping
from functools import cache
from typing import Any

from openpyxl import load_workbook

from optioneer.errors import CaseError, Fault
from optioneer.files.workbook.reading import workbook_case

Edits = Mapping[tuple[str, str], Any]
"""New values by sheet and cell."""


def edited(data: bytes, edits: Edits) -> bytes:
    """A workbook with some cells changed."""
    book = loaded(data)
    cells = {(sheet, cell): book[sheet][cell] for sheet, cell in edits}
    before = {place: cell.value for place, cell in cells.items()}
    try:
        _fill(cells, edits)
        return saved(book)
    finally:
        _fill(cells, before)


def _fill(cells: Mapping[tuple[str, str], Any], values: Edits) -> None:
    for place, value in values.items():
        cells[place].value = value


@cache
def loaded(data: bytes) -> Any:
    """A workbook as it is, loaded once; nobody changes it for good."""
    return load_workbook(io.BytesIO(data))


def saved(book: Any) -> bytes:
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def faults_of(data: bytes) -> tuple[Fault, ...]:
    """What is wrong with a workbook."""
    try:
        workbook_case(data, name="case", book="case.xlsx")
    except CaseError as error:
        return error.faults
    return ()


def faults_after(data: bytes, edits: Edits) -> tuple[str, ...]:
    """What is wrong with a workbook after some changes."""
    return tuple(str(fault) for fault in faults_of(edited(data, edits)))


def members(data: bytes) -> dict[str, bytes]:
    """The files inside a workbook."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def zipped(files: Mapping[str, bytes]) -> bytes:
    """Files as one zip archive."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return data.getvalue()
