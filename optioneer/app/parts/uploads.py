"""What somebody uploads, as the files of a case: an archive of them, or an entry workbook."""

from optioneer.files.case.texts import archive_texts, spoken_name
from optioneer.files.case.write import case_texts

KINDS = ("zip", "xlsx")
"""Endings of what is taken."""


def name_and_texts(name: str, data: bytes, *, otherwise: str) -> tuple[str, dict[str, str]]:
    """A name for the case, and its texts.

    Parameters
    ----------
    name
        What the file is called; only ever spoken, never a place.
    data
        Its bytes.
    otherwise
        The name of the case where the file has none.

    Raises
    ------
    RequestError
        It is no archive of a case.
    CaseError
        It is a workbook with faults, each named with sheet and cell.
    """
    spoken = spoken_name(name, otherwise)
    if not name.lower().endswith(".xlsx"):
        return spoken, archive_texts(data)
    from optioneer.files.workbook.reading import workbook_case  # noqa: PLC0415 - only for workbooks

    return spoken, case_texts(workbook_case(data, name=spoken, book=name).case, {})
