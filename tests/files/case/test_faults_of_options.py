"""Each way to get options.csv wrong has one sentence. All figures are invented."""

from pathlib import Path

import pytest

from optioneer.errors import CaseError
from optioneer.files.case.read import read_case
from tests.files.folders import edit, starter

FILE = "options.csv"

WRONG = [
    (
        "auto-door;tool-setter",
        "auto-dor;tool-setter",
        [
            (
                "options.csv, row 11, option 'unattended-kit', requires: there is no option "
                "'auto-dor'. Did you mean 'auto-door'?"
            )
        ],
    ),
    (
        "auto-door;tool-setter",
        "auto-door;auto-door",
        [
            (
                "options.csv, row 11, option 'unattended-kit', requires: 'auto-door' is named "
                "twice. Name it once."
            )
        ],
    ),
    (
        "auto-door;tool-setter",
        "unattended-kit",
        [
            (
                "options.csv, row 11, option 'unattended-kit', requires: the option names "
                "itself. Name other options only."
            )
        ],
    ),
    (
        ("work-probe,Work probe,,4600,,,,retrofittable,1.2,1.4,2,,,,,controls,1,90,0.1,,,,,,,"),
        ("work-probe,Work probe,,4600,,,,retrofittable,1.2,1.4,2,,,,,control,1,90,0.1,,,,,,,"),
        [
            (
                "options.csv, row 6, option 'work-probe', call_out: machine.toml has no call-out "
                "'control'. Did you mean 'controls'? Allowed: default, controls, none."
            )
        ],
    ),
    (
        "robot-prepared,1.1",
        "robot-preparation,1.1",
        [
            (
                "options.csv, row 9, option 'robot-interface', eased_by: there is no option "
                "'robot-preparation'. Did you mean 'robot-prepared'?"
            )
        ],
    ),
    (
        "robot-prepared,1.1",
        ",1.1",
        [
            (
                "options.csv, row 9, option 'robot-interface', eased_by: is blank beside "
                "eased_low. Name the option that eases the retrofit, or leave eased_low to _high "
                "blank."
            )
        ],
    ),
    (
        "robot-prepared,1.1,1.2,1.4",
        "robot-prepared,,,",
        [
            (
                "options.csv, row 9, option 'robot-interface', eased: is blank beside eased_by "
                "'robot-prepared'. Give eased_low, _likely, _high, or leave eased_by blank."
            )
        ],
    ),
    (
        "spindle-15k,Spindle 15 000 rpm,spindle,9800,,",
        "spindle-15k,Spindle 15 000 rpm,spindle,9800,,yes",
        [
            (
                "options.csv, row 3, option 'spindle-15k', standard: 'spindle-12k' is standard "
                "in the slot 'spindle' too. A slot has one standard at most."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600,,,",
        "work-probe,Work probe,,4600,,,50",
        [
            (
                "options.csv, row 6, option 'work-probe', delete_credit: a credit is given for "
                "an option that is not standard. Write standard = yes, or leave the credit blank."
            )
        ],
    ),
    (
        ("work-probe,Work probe,,4600,,,,retrofittable,1.2,1.4,2,,,,,controls,1,90,0.1,,,,,,,"),
        "work-probe,Work probe,,4600,,,,retrofittable,,,,,,,,controls,1,90,0.1,,,,,,,",
        [
            (
                "options.csv, row 6, option 'work-probe', multiplier: a retrofittable option has "
                "none. Give multiplier_low, _likely, _high, or write factory-only."
            )
        ],
    ),
    (
        "700,0.35,auto-door,fourth-axis",
        "700,0.35,auto-door;fourth-axis,",
        [
            (
                "options.csv, row 13, option 'pallet-changer', requires: it can never be "
                "ordered: 'fourth-axis' (required by 'pallet-changer') excludes "
                "'pallet-changer'. Check `requires`, `excludes`, `slot` and `standard` of these "
                "options."
            )
        ],
    ),
    (
        ",700,0.35,auto-door,fourth-axis",
        ",700,0.35,auto-door,auto-door",
        [
            (
                "options.csv, row 13, option 'pallet-changer', requires: it can never be "
                "ordered: 'pallet-changer' excludes 'auto-door' (required by 'pallet-changer'). "
                "Check `requires`, `excludes`, `slot` and `standard` of these options."
            )
        ],
    ),
    (
        ",700,0.35,auto-door,fourth-axis",
        ",700,0.35,robot-prepared;robot-interface,",
        [
            (
                "options.csv, row 13, option 'pallet-changer', requires: it can never be "
                "ordered: 'robot-interface' (required by 'pallet-changer') and 'robot-prepared' "
                "(required by 'pallet-changer') share the slot 'robot'. Check `requires`, "
                "`excludes`, `slot` and `standard` of these options."
            )
        ],
    ),
    (
        ",700,0.35,auto-door,fourth-axis",
        ",700,0.35,,spindle-12k;spindle-15k",
        [
            (
                "options.csv, row 13, option 'pallet-changer', requires: it can never be "
                "ordered: nothing that may fill the slot 'spindle' can stand beside it. Check "
                "`requires`, `excludes`, `slot` and `standard` of these options."
            )
        ],
    ),
    (
        ",700,0.35,auto-door,fourth-axis",
        ",700,0.35,unattended-kit,tool-setter",
        [
            (
                "options.csv, row 13, option 'pallet-changer', requires: it can never be "
                "ordered: 'pallet-changer' excludes 'tool-setter' (required by "
                "'unattended-kit'). Check `requires`, `excludes`, `slot` and `standard` of these "
                "options."
            )
        ],
    ),
    (
        "spindle-12k,Spindle 12 000 rpm,spindle,0,,yes,,factory-only,,,,,,,,,,,,",
        "spindle-12k,Spindle 12 000 rpm,spindle,0,,yes,,factory-only,,,,,,,,,,,,work-probe",
        [
            (
                "options.csv, standard: the standard machine breaks its own rules: 'spindle-12k' "
                "requires 'work-probe'. Check `requires`, `excludes`, `slot` and `standard` of "
                "these options."
            )
        ],
    ),
    (
        "spindle-12k,Spindle 12 000 rpm,spindle,0,,yes,,factory-only,,,,,,,,,,,,,",
        "spindle-12k,Spindle 12 000 rpm,spindle,0,,yes,,factory-only,,,,,,,,,,,,,wash-gun",
        [
            (
                "options.csv, standard: the standard machine breaks its own rules: 'spindle-12k' "
                "excludes 'wash-gun'. Check `requires`, `excludes`, `slot` and `standard` of "
                "these options."
            )
        ],
    ),
    (
        "fourth-axis,Fourth axis,table",
        "fourth-axis,Fourth axis,auto-door",
        [
            (
                "options.csv, row 12, option 'fourth-axis', slot: the slot is named like the "
                "option 'auto-door', which has its own slot. Give the slot another name, or name "
                "the slot of both."
            )
        ],
    ),
    (
        "350,0.2,,,4",
        "350,0.2,,spindle-15k,4",
        [
            (
                "options.csv, row 3, option 'spindle-15k', excludes: the option names itself. "
                "Name other options only."
            )
        ],
    ),
]


@pytest.mark.parametrize(("right", "wrong", "sentences"), WRONG)
def test_every_fault_has_its_sentence(
    tmp_path: Path, right: str, wrong: str, sentences: list[str]
) -> None:
    folder = starter(tmp_path)
    edit(folder, FILE, (right, wrong))
    with pytest.raises(CaseError) as caught:
        read_case(folder)
    assert str(caught.value).splitlines() == sentences
