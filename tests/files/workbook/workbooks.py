"""Entry workbooks as people leave them: edited, damaged, or never meant well."""

import io
import zipfile
from collections.abc import Mapping
from typing import Any

from openpyxl import load_workbook

from optioneer.errors import CaseError, Fault
from optioneer.files.workbook.reading import workbook_case

Edits = Mapping[tuple[str, str], Any]
"""New values by sheet and cell."""


def edited(data: bytes, edits: Edits) -> bytes:
    """A workbook with some cells changed."""
    book = load_workbook(io.BytesIO(data))
    for (sheet, cell), value in edits.items():
        book[sheet][cell] = value
    return saved(book)


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
