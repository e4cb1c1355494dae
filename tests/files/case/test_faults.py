"""Each way to get a file of a case wrong has one sentence: `faults/` lists them, file by file."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from optioneer.errors import CaseError
from optioneer.files.case.read import read_case
from tests.files.folders import edit, starter

FILES = ("machine.toml", "growth.toml", "options.csv")


def faults_of(file: str) -> list[dict[str, Any]]:
    path = (Path(__file__).parent / "faults" / file).with_suffix(".toml")
    faults: list[dict[str, Any]] = tomllib.loads(path.read_text(encoding="utf-8"))["fault"]
    return faults


@pytest.mark.parametrize(
    ("file", "fault"), [(file, fault) for file in FILES for fault in faults_of(file)]
)
def test_every_fault_has_its_sentence(tmp_path: Path, file: str, fault: dict[str, Any]) -> None:
    folder = starter(tmp_path)
    edit(folder, file, (fault["right"], fault["wrong"]))
    with pytest.raises(CaseError) as caught:
        read_case(folder)
    assert str(caught.value).splitlines() == fault["says"]
