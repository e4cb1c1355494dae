"""What visitors upload."""

import pytest

from optioneer.app.parts.uploads import name_and_texts
from optioneer.errors import CaseError, RequestError
from optioneer.files.case.read import reading_of
from optioneer.files.case.texts import archive
from optioneer.reports.sheets.entry import entry_workbook
from tests.app.visits import small_mill


def test_an_archive_comes_in_as_it_went_out() -> None:
    texts = small_mill()
    assert name_and_texts("../mill.zip", archive(texts), otherwise="x") == ("mill", texts)


def test_a_workbook_comes_in_as_the_same_case() -> None:
    case = reading_of("mill", small_mill()).case
    name, texts = name_and_texts("mill.xlsx", entry_workbook(case), otherwise="x")
    assert name == "mill"
    assert reading_of("mill", texts).case == case


def test_what_is_neither_is_refused() -> None:
    with pytest.raises(RequestError, match="no zip archive"):
        name_and_texts("mill.zip", b"x", otherwise="x")
    with pytest.raises(CaseError):
        name_and_texts("mill.xlsx", b"x", otherwise="x")
