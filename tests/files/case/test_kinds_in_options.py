"""Options with a kind: blank cells mean what is usual, are read so, and stay blank when written."""

from pathlib import Path

import pytest

from optioneer.files.case.read import read_case, reading_of
from optioneer.files.case.starter import starter_text
from optioneer.files.case.write import case_texts, write_case
from optioneer.files.saving.commit import NAMES
from optioneer.files.workbook.reading import workbook_case
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.kinds.usual import usual_figures
from optioneer.reports.sheets.entry import entry_workbook
from tests.oracle.cases import anticipation

ROWS = """option,name,kind,price,standard,must,fitting,downtime_days,upkeep_per_year,\
multiplier_low,multiplier_likely,multiplier_high
probe,Probe,probe,6000,,,,,,,,
scales,Scales,scales,9000,,yes,,0,0,2,2.5,3
jet,Air jet,air-blast,800,,,factory-only,,,,,
lamp,Lamp,signal-lamp,0,yes,,,,,,,
own,Something,,500,,,factory-only,,,,,
"""


def case() -> Case:
    texts = {name: starter_text(name) for name in NAMES[:3]}
    machine = texts["machine.toml"]
    bare = machine[: machine.index("[[bundle]]")]
    growth = "horizon_years = 8\ndiscount_rate = 0.09\n"
    texts |= {"machine.toml": bare, "growth.toml": growth, "options.csv": ROWS}
    return reading_of("shop", texts).case


def test_a_blank_cell_is_the_kinds_and_a_told_one_is_not() -> None:
    known = case().catalogue.by_id
    usual = usual_figures("probe", 6000.0)
    assert {key: getattr(known["probe"], key) for key in usual} == usual
    assert (known["scales"].downtime_days, known["scales"].upkeep_per_year) == (0.0, 0.0)
    assert known["scales"].multiplier is not None
    assert known["scales"].multiplier.low == 2.0
    assert known["jet"].multiplier is None
    assert known["jet"].air_l_min == usual_figures("air-blast", 800.0)["air_l_min"]
    assert known["scales"].must
    assert not known["probe"].must


def test_it_comes_back_from_files_with_its_blanks(tmp_path: Path) -> None:
    write_case(case(), tmp_path / "shop")
    assert read_case(tmp_path / "shop") == case()
    row = (tmp_path / "shop/options.csv").read_text(encoding="utf-8").splitlines()[1]
    assert row.rstrip(",") == "probe,Probe,,probe,6000,,,,,retrofittable"


def test_a_row_that_changes_keeps_its_other_blanks() -> None:
    before = case()
    texts = case_texts(before, {"options.csv": ROWS})
    assert texts["options.csv"] == ROWS
    dearer = tuple(
        one.priced(7000.0) if one.option == "probe" else one for one in before.catalogue.options
    )
    after = before.model_copy(update={"catalogue": Catalogue(options=dearer)})
    row = case_texts(after, texts)["options.csv"].splitlines()[1]
    assert row == "probe,Probe,probe,7000,,,,,,,,,6000"


def test_it_comes_back_from_a_workbook() -> None:
    back = workbook_case(entry_workbook(case()), name="shop", book="shop.xlsx").case
    assert back.catalogue == case().catalogue


def test_a_case_with_neither_kind_nor_wish_keeps_its_fingerprint() -> None:
    pinned = "f557adee9bc071eb5d8cae6380d302dbc629a447eb0c9d09ae386508af9b8c2b"
    assert anticipation().fingerprint == pinned, "pinned: as before there were kinds"


@pytest.mark.parametrize(("found", "sentence"), [(",probe,6000", "there is no kind 'prob'")])
def test_a_kind_that_is_not_there_is_refused_by_its_row(found: str, sentence: str) -> None:
    texts = case_texts(case(), {"options.csv": ROWS})
    wrong = texts["options.csv"].replace(found, found.replace("probe", "prob"))
    with pytest.raises(Exception, match=sentence) as error:
        reading_of("shop", {**texts, "options.csv": wrong})
    assert "options.csv, row 2, option 'probe', kind" in str(error.value)
