"""Reading a case folder."""

import os
import re
from pathlib import Path

import pytest

from optioneer.errors import CaseError
from optioneer.files.case.read import read_case, reading
from optioneer.files.plain.source import LARGEST_FILE
from tests.files.folders import edit, starter

DEMOS = Path(__file__).parents[3] / "catalogs_demo"


def faults(folder: Path) -> list[str]:
    with pytest.raises(CaseError) as caught:
        read_case(folder)
    return [str(fault) for fault in caught.value.faults]


def test_the_starter_case_is_read_without_faults_and_says_that_it_is_an_example(
    tmp_path: Path,
) -> None:
    folder = starter(tmp_path)
    case = read_case(folder)
    assert case.name == "case"
    assert case.catalogue.by_id["work-probe"].multiplier is not None
    assert case.call_outs == {"default": 1400.0, "controls": 950.0}
    (note,) = reading(folder).notices
    assert re.search(r"(\d+) of \1 figures are invented examples", str(note))


@pytest.mark.parametrize("name", ["mill-turn", "small-mill"])
def test_the_demo_cases_are_read_without_faults_or_notices(name: str) -> None:
    assert read_case(DEMOS / name).name == name
    assert reading(DEMOS / name).notices == ()


def test_blank_cells_mean_the_default(tmp_path: Path) -> None:
    option = read_case(starter(tmp_path)).catalogue.by_id["auto-door"]
    assert (option.slot, option.call_out, option.standard) == (None, "default", False)
    assert (option.requires, option.delete_credit, option.note) == ((), None, "")


def test_the_word_none_means_no_visit(tmp_path: Path) -> None:
    assert read_case(starter(tmp_path)).catalogue.by_id["wash-gun"].call_out is None


def test_all_faults_of_all_files_are_told_together_in_the_order_of_the_files(
    tmp_path: Path,
) -> None:
    folder = starter(tmp_path)
    edit(folder, "machine.toml", ('"EUR"', '"EURO"'), ('["tool-setter"]', '["tool-seter"]'))
    edit(folder, "options.csv", ("4600", "-4600"), ("auto-door;tool", "auto-dor;tool"))
    edit(folder, "growth.toml", ("chance = 0.45", "chance = 45"), ("seed = 7", "seed = "))
    (folder / "paying.toml").rename(folder / "paying.tml")
    told = faults(folder)
    assert [line.partition(":")[0] for line in told] == [
        "machine.toml, machine, currency",
        "machine.toml, package 'lean', options",
        "options.csv, row 6, option 'work-probe', price",
        "options.csv, row 11, option 'unattended-kit', requires",
        "growth.toml, line 8, column 33",
        "paying.toml",
    ]


def test_a_refused_value_is_not_refused_a_second_time_for_its_consequences(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    edit(folder, "options.csv", ("work-probe,Work probe", "Work probe,Work probe"))
    edit(folder, "options.csv", ("tool-setter,Tool setter,,", "tool-setter,Tool setter,"))
    edit(folder, "options.csv", ("260,,yes,180", "260,,ja,180"))
    edit(folder, "options.csv", ("robot-prepared,1.1,1.2", "robot-prepared,1.1,1.9"))
    places = [line.partition(":")[0] for line in faults(folder)]
    assert places == [
        "options.csv, row 7",
        "options.csv, row 6, option 'Work probe', option",
        "options.csv, row 9, option 'robot-interface', eased_low to eased_high",
        "options.csv, row 14, option 'wash-gun', standard",
    ]


def test_an_id_taken_twice_is_told_with_both_rows(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    edit(folder, "options.csv", ("tool-setter,Tool setter", "work-probe,Tool setter"))
    where = "options.csv, row 7, option 'work-probe', option"
    what = "the id 'work-probe' is already taken by row 6. Each option has an id of its own."
    assert f"{where}: {what}" in faults(folder)


def test_a_missing_file_is_told_beside_the_faults_of_the_others(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    (folder / "options.csv").unlink()
    edit(folder, "growth.toml", ("chance = 0.45", "chance = 45"))
    assert faults(folder) == [
        "options.csv: is missing. A case folder holds a file 'options.csv'.",
        (
            "growth.toml, stream 'robot-work', chance: 45 is above 1. "
            "A chance lies between 0 and 1: 0.6 for 60 %."
        ),
    ]


@pytest.mark.parametrize("wrong", ["option.csv", "options.csv.txt", "Options.csv"])
def test_a_file_with_nearly_our_name_is_asked_about(tmp_path: Path, wrong: str) -> None:
    folder = starter(tmp_path)
    (folder / "options.csv").rename(folder / wrong)
    assert faults(folder) == [
        (
            f"options.csv: there is a file '{wrong}', which is not read. "
            "Did you mean 'options.csv'? Rename it or take it away."
        )
    ]


def test_a_copy_beside_the_file_is_a_notice_and_backups_and_strangers_are_nothing(
    tmp_path: Path,
) -> None:
    folder = starter(tmp_path)
    for name in ("option.csv", "options.csv~", ".options.csv.swp", "quote.pdf", "machine.toml.bak"):
        (folder / name).touch()
    assert [str(note) for note in reading(folder).notices if "examples" not in str(note)] == [
        (
            "option.csv: is not read. Did you mean 'options.csv'? "
            "Allowed: machine.toml, options.csv, growth.toml, paying.toml, site.toml, "
            "sources.csv."
        )
    ]


def test_a_folder_instead_of_a_file_is_told(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    (folder / "options.csv").unlink()
    (folder / "options.csv").mkdir()
    assert faults(folder) == ["options.csv: is a folder. A case folder holds a file 'options.csv'."]


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    outside = tmp_path / "outside.csv"
    (folder / "options.csv").rename(outside)
    (folder / "options.csv").symlink_to(outside)
    assert faults(folder) == [
        "options.csv: is a link out of the case folder. Put the file itself into the folder."
    ]


@pytest.mark.parametrize("target", ["nowhere.csv", "options.csv"])
def test_a_link_that_leads_nowhere_is_told(tmp_path: Path, target: str) -> None:
    folder = starter(tmp_path)
    (folder / "options.csv").unlink()
    (folder / "options.csv").symlink_to(target)
    assert faults(folder) == [
        "options.csv: is a link that leads nowhere. Put the file itself into the folder."
    ]


def test_a_device_is_not_read(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    (folder / "options.csv").unlink()
    os.mkfifo(folder / "options.csv")
    assert faults(folder) == ["options.csv: is a device. A case folder holds a file 'options.csv'."]


def test_a_file_that_may_not_be_read_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = starter(tmp_path)

    def refused(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refused)
    assert faults(folder)[0] == (
        "machine.toml: cannot be read (Permission denied). Check who may read the file."
    )


def test_a_file_of_over_ten_megabytes_is_not_read(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    with (folder / "growth.toml").open("ab") as file:
        file.truncate(LARGEST_FILE + 1)
    assert faults(folder) == [
        "growth.toml: is 10,000,001 bytes long. At most 10,000,000 bytes are read."
    ]


def test_a_missing_folder_names_its_neighbour(tmp_path: Path) -> None:
    starter(tmp_path)
    assert faults(tmp_path / "csae") == [
        f"{tmp_path}/csae: there is no such folder. Did you mean 'case'?"
    ]


def test_a_file_instead_of_the_folder_is_told(tmp_path: Path) -> None:
    path = starter(tmp_path) / "machine.toml"
    assert faults(path) == [
        f"{path}: is a file, not a case folder. Give the folder that holds machine.toml."
    ]
