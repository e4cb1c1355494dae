"""Each way to get the cells of options.csv wrong has one sentence. All figures are invented."""

from pathlib import Path

import pytest

from optioneer.errors import CaseError
from optioneer.files.case.read import read_case
from tests.files.folders import edit, starter

FILE = "options.csv"

WRONG = [
    (
        "work-probe,Work probe,,4600",
        "work-probe,Work probe,,-1200",
        [
            (
                "options.csv, row 6, option 'work-probe', price: -1200 is below zero. Prices are "
                "0 or more; enter a discount as a bundle."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600",
        'work-probe,Work probe,,"4,600"',
        [
            (
                "options.csv, row 6, option 'work-probe', price: '4,600' can be read as 4600 or "
                "as 4.6. Write 4600 or 4.60."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600",
        "work-probe,Work probe,,4.600",
        [
            (
                "options.csv, row 6, option 'work-probe', price: '4.600' can be read as 4600 or "
                "as 4.6. Write 4600 or 4.60."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600",
        'work-probe,Work probe,,"1.234,50"',
        [
            (
                "options.csv, row 6, option 'work-probe', price: '1.234,50' has thousands "
                "separators. Write 1234.50."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600",
        'work-probe,Work probe,,"4600,50"',
        [
            (
                "options.csv, row 6, option 'work-probe', price: '4600,50' has a decimal comma. "
                "Write 4600.50."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600",
        "work-probe,Work probe,,$4600",
        [
            (
                "options.csv, row 6, option 'work-probe', price: '$4600' has a currency sign. "
                "Write the number alone; machine.toml names the currency."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600",
        "work-probe,Work probe,,4600 EUR",
        [
            (
                "options.csv, row 6, option 'work-probe', price: '4600 EUR' has a currency sign. "
                "Write the number alone; machine.toml names the currency."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600",
        "work-probe,Work probe,,nan",
        [
            (
                "options.csv, row 6, option 'work-probe', price: 'nan' is not a number. Write "
                "plain digits with a point for decimals: 1234.50."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600",
        "work-probe,Work probe,,1e500",
        [
            (
                "options.csv, row 6, option 'work-probe', price: '1e500' is written with an "
                "exponent. Write it in full: 1200, not 1.2E3."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600",
        (
            "work-probe,Work "
            "probe,,9999999999999999999999999999999999999999999999999999999999999999999999999"
            "99999999999999999999999999999999999999999999999999999999999999999999999999999999"
            "99999999999999999999999999999999999999999999999999999999999999999999999999999999"
            "99999999999999999999999999999999999999999999999999999999999999999999999999999"
        ),
        [
            (
                "options.csv, row 6, option 'work-probe', price: inf is not a finite number. "
                "Write a number: 1234.50."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600",
        "work-probe,Work probe,,1_000",
        [
            (
                "options.csv, row 6, option 'work-probe', price: '1_000' has thousands "
                "separators. Write 1000."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600",
        "work-probe,Work probe,,",
        [
            (
                "options.csv, row 6, option 'work-probe', price: is blank. Wanted: factory price "
                "with the order [money]; of a standard item the list price, used only as the base "
                "of its resale value and, without `later_price`, of a later retrofit."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600",
        "work-probe,Work probe,,1000000000000",
        [
            (
                "options.csv, row 6, option 'work-probe', price: 1000000000000 is not below "
                "1,000,000,000,000. Write less than 1,000,000,000,000."
            )
        ],
    ),
    (
        "controls,1,90,0.1",
        "controls,1,90,10%",
        [
            (
                "options.csv, row 6, option 'work-probe', resale_share: '10%' has a percent "
                "sign. Write the fraction: 0.2 for 20 %."
            )
        ],
    ),
    (
        "controls,1,90,0.1",
        "controls,1,90,10",
        [
            (
                "options.csv, row 6, option 'work-probe', resale_share: 10 is above 1. A share "
                "lies between 0 and 1: 0.25 for 25 %."
            )
        ],
    ),
    (
        "wash-gun,Wash gun,,260,,yes",
        "wash-gun,Wash gun,,260,,ja",
        [
            (
                "options.csv, row 14, option 'wash-gun', standard: 'ja' is neither yes nor no. "
                "Write yes or no; blank means no."
            )
        ],
    ),
    (
        "work-probe,Work probe,,4600,,,,retrofittable",
        "work-probe,Work probe,,4600,,,,retrofitable",
        [
            (
                "options.csv, row 6, option 'work-probe', fitting: 'retrofitable' is not known "
                "here. Did you mean 'retrofittable'? Allowed: factory-only, retrofittable."
            )
        ],
    ),
    (
        "work-probe,",
        "Work Probe,",
        [
            (
                "options.csv, row 6, option 'Work Probe', option: 'Work Probe' is not an id. An "
                "id is lower-case letters and digits joined by single hyphens: 'work-probe'."
            )
        ],
    ),
    (
        "work-probe,Work probe,",
        "work-probe,,",
        [
            (
                "options.csv, row 6, option 'work-probe', name: is blank. Wanted: what the quote "
                "calls it."
            )
        ],
    ),
    (
        "auto-door;tool-setter",
        "auto-door tool-setter",
        [
            (
                "options.csv, row 11, option 'unattended-kit', requires: 'auto-door tool-setter' "
                "is not an id. An id is lower-case letters and digits joined by single hyphens: "
                "'auto-door-tool-setter'. Lists are separated by ';'."
            )
        ],
    ),
    (
        ("work-probe,Work probe,,4600,,,,retrofittable,1.2,1.4,2,,,,,controls,1,90,0.1,,,,,,,"),
        ("work-probe,Work probe,,4600,,,,retrofittable,1.2,1.1,2,,,,,controls,1,90,0.1,,,,,,,"),
        [
            (
                "options.csv, row 6, option 'work-probe', multiplier_low to multiplier_high: "
                "1.2, 1.1, 2 are not in rising order. Write low, likely, high in rising order; "
                "three equal ones mean certain."
            )
        ],
    ),
    (
        ("work-probe,Work probe,,4600,,,,retrofittable,1.2,1.4,2,,,,,controls,1,90,0.1,,,,,,,"),
        "work-probe,Work probe,,4600,,,,retrofittable,,1.4,2,,,,,controls,1,90,0.1,,,,,,,",
        [
            (
                "options.csv, row 6, option 'work-probe', multiplier_low: is blank. Give low, "
                "likely and high, or none of the three."
            )
        ],
    ),
    (
        ("work-probe,Work probe,,4600,,,,retrofittable,1.2,1.4,2,,,,,controls,1,90,0.1,,,,,,,"),
        ("work-probe,Work probe,,4600,,,,retrofittable,-1.2,1.4,2,,,,,controls,1,90,0.1,,,,,,,"),
        [
            (
                "options.csv, row 6, option 'work-probe', multiplier_low: -1.2 is below zero. "
                "Write 0 or more."
            )
        ],
    ),
    (
        "Kit for",
        "Kit\x07 for",
        [
            (
                "options.csv, row 11, option 'unattended-kit', name: 'Kit\\u0007 for unattended "
                "shifts' holds the control character U+0007. Take it out of the text."
            )
        ],
    ),
    (
        "Work probe",
        (
            "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx"
            "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx"
            "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx"
        ),
        [
            (
                "options.csv, row 6, option 'work-probe', name: is a text of 201 characters. "
                "Write a shorter one."
            )
        ],
    ),
    (
        ("work-probe,Work probe,,4600,,,,retrofittable,1.2,1.4,2,,,,,controls,1,90,0.1,,,,,,,"),
        ("work-probe,Work probe,,4600,,,,retrofittable,1.2,1.4,2,,,,,controls,1,90,0.1,,,,,,,,"),
        [
            (
                "options.csv, row 6: has 29 cells where the first row has 28. Put a cell that "
                "holds a comma in quotes, or take out a comma."
            )
        ],
    ),
    (
        ("work-probe,Work probe,,4600,,,,retrofittable,1.2,1.4,2,,,,,controls,1,90,0.1,,,,,,,"),
        ("work-probe,Work probe,,4600,,,,retrofittable,1.2,1.4,2,,,,,controls,1,90,0.1,,,,,,"),
        [
            (
                "options.csv, row 6: has 27 cells where the first row has 28. Fill it up with "
                "commas at its end."
            )
        ],
    ),
    (
        ",note",
        ",nota",
        ["options.csv, column 26: 'nota' is not a known heading. Did you mean 'note'?"],
    ),
    (
        ",note",
        ",name",
        ["options.csv, column 26: the heading 'name' stands twice. Keep one of the two."],
    ),
    (
        "option,name,slot,price",
        "option,name,slot,prize",
        [
            "options.csv, column 4: 'prize' is not a known heading. Did you mean 'price'?",
            "options.csv: the column 'price' is missing. Add it to the first row.",
        ],
    ),
    (
        "option,name,slot,price",
        "option,name,slot,",
        [
            "options.csv, column 4: has no heading. Name the column or empty it.",
            "options.csv: the column 'price' is missing. Add it to the first row.",
        ],
    ),
    (
        "Work probe",
        '"Work probe',
        [
            (
                "options.csv, line 14: cannot be read as a table (unexpected end of data). Check "
                'the quotation marks: a cell that begins with " ends with ", and holds "" for ".'
            )
        ],
    ),
    (
        "Work probe",
        '"Work" probe',
        [
            (
                "options.csv, line 6: cannot be read as a table (',' expected after '\"'). Check "
                'the quotation marks: a cell that begins with " ends with ", and holds "" for ".'
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
