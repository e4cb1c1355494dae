"""Each way to get growth.toml wrong has one sentence. All figures are invented."""

from pathlib import Path

import pytest

from optioneer.errors import CaseError
from optioneer.files.case.read import read_case
from tests.files.folders import edit, starter

FILE = "growth.toml"

WRONG = [
    (
        "horizon_years = 8 ",
        "horizon_years = 8.1 ",
        [
            (
                "growth.toml, horizon_years: 8.1 years are 32.4 periods, no whole number. Write "
                "a multiple of 1/4."
            )
        ],
    ),
    (
        "horizon_years = 8 ",
        "horizon_years = 0 ",
        ["growth.toml, horizon_years: 0 is not above zero. Write more than 0."],
    ),
    (
        "periods_per_year = 4 ",
        "periods_per_year = 4.5 ",
        [
            (
                "growth.toml, periods_per_year: 4.5 is not a whole number. Write a whole number "
                "without quotes: 4."
            )
        ],
    ),
    (
        "periods_per_year = 4 ",
        "periods_per_year = 365 ",
        ["growth.toml, periods_per_year: 365 is above 52. Write 52 or less."],
    ),
    (
        "discount_rate = 0.09",
        "discount_rate = 9",
        [
            (
                "growth.toml, discount_rate: 9 is above 1. Write the rate as a fraction a year: "
                "0.09 for 9 %."
            )
        ],
    ),
    (
        "seed = 7",
        "seed = true",
        [
            (
                "growth.toml, seed: true is not a whole number. Write a whole number without "
                "quotes: 4."
            )
        ],
    ),
    ("futures = 4096", "futures = 4", ["growth.toml, futures: 4 is below 16. Write 16 or more."]),
    (
        "chance = 0.45",
        "chance = 45",
        [
            (
                "growth.toml, stream 'robot-work', chance: 45 is above 1. A chance lies between "
                "0 and 1: 0.6 for 60 %."
            )
        ],
    ),
    (
        "chance = 0.45",
        "chance = [0.45, 0.3, 0.6]",
        [
            (
                "growth.toml, stream 'robot-work', chance: 0.45, 0.3, 0.6 are not in rising order. "
                "Write low, likely, high in rising order; three equal ones mean certain."
            )
        ],
    ),
    (
        "chance = 0.45",
        "chance = [0.3, 0.45]",
        [
            (
                "growth.toml, stream 'robot-work', chance: holds 2 figures. Write one figure, or "
                "three: lowest, likeliest, highest."
            )
        ],
    ),
    (
        "lasts_years = 5",
        "lasts_years = [0.1, 2, 5]",
        [
            (
                "growth.toml, stream 'deep-holes', lasts_years: 0.1 years round to no period at "
                "all. At least half a period: 0.125 years."
            )
        ],
    ),
    (
        "chance = 0.45",
        "chanse = 0.45",
        [
            (
                "growth.toml, stream 'robot-work', chance: is missing. Wanted: chance that it "
                "shows up at all; three figures: lowest, likeliest and highest that one would "
                "believe."
            ),
            (
                "growth.toml, stream 'robot-work': 'chanse' is not a known key. Did you mean "
                "'chance'?"
            ),
        ],
    ),
    (
        "years = [1.0, 2.5, 6.0]",
        "years = [1.0, 6.0]",
        [
            (
                "growth.toml, stream 'robot-work', years: [1.0, 6.0] is not low, likely, high. "
                "Write three numbers: [1.0, 2.0, 5.0]."
            )
        ],
    ),
    (
        "years = [1.0, 2.5, 6.0]",
        "years = [3.0, 2.5, 6.0]",
        [
            (
                "growth.toml, stream 'robot-work', years: 3, 2.5, 6 are not in rising order. "
                "Write low, likely, high in rising order; three equal ones mean certain."
            )
        ],
    ),
    (
        "years = [1.0, 2.5, 6.0]",
        "years = [-1.0, 2.5, 6.0]",
        ["growth.toml, stream 'robot-work', years, low: -1 is below zero. Write 0 or more."],
    ),
    (
        "years = [1.0, 2.5, 6.0]",
        "years = 3",
        [
            (
                "growth.toml, stream 'robot-work', years: 3 is not low, likely, high. Write "
                "three numbers: [1.0, 2.0, 5.0]."
            )
        ],
    ),
    (
        "margin = [18000, 30000, 55000]",
        "margin = [18.000, 30.000, 55.000]",
        [
            (
                "growth.toml, stream 'robot-work', margin: 18.000 can be read as 18000 or as 18. "
                "Write 18000 or 18.00."
            ),
            (
                "growth.toml, stream 'robot-work', margin: 30.000 can be read as 30000 or as 30. "
                "Write 30000 or 30.00."
            ),
            (
                "growth.toml, stream 'robot-work', margin: 55.000 can be read as 55000 or as 55. "
                "Write 55000 or 55.00."
            ),
        ],
    ),
    (
        "drivers = { automation = 0.7 }",
        "drivers = { automatio = 0.7 }",
        [
            (
                "growth.toml, stream 'robot-work', drivers: there is no driver 'automatio'. Did "
                "you mean 'automation'? Allowed: automation, tolerance."
            )
        ],
    ),
    (
        "drivers = { automation = 0.7 }",
        "drivers = { automation = 0.8, tolerance = 0.7 }",
        [
            (
                "growth.toml, stream 'robot-work', drivers: the squares of the loadings sum to "
                "1.13. They sum to at most 1; lower the loadings."
            )
        ],
    ),
    (
        "drivers = { automation = 0.7 }",
        "drivers = { automation = 1.5 }",
        [
            (
                "growth.toml, stream 'robot-work', drivers, automation: 1.5 is above 1. Write 1 "
                "or less."
            )
        ],
    ),
    (
        "drivers = { automation = 0.7 }",
        'drivers = ["automation"]',
        [
            (
                "growth.toml, stream 'robot-work', drivers: ['automation'] is not a table. Write "
                "a table in braces: { automation = 0.6 }."
            )
        ],
    ),
    (
        'id = "tolerance"',
        'id = "automation"',
        [
            (
                "growth.toml, driver 'automation', id: number 1 and number 2 share it. Each "
                "driver has an id of its own."
            ),
            (
                "growth.toml, stream 'tight-parts', drivers: there is no driver 'tolerance'. "
                "Allowed: automation."
            ),
            (
                "growth.toml, stream 'aluminium', drivers: there is no driver 'tolerance'. "
                "Allowed: automation."
            ),
        ],
    ),
    (
        'id = "night-shift"',
        'id = "robot-work"',
        [
            (
                "growth.toml, stream 'robot-work', id: number 1 and number 2 share it. Each "
                "stream has an id of its own."
            )
        ],
    ),
    (
        "lasts_years = 5",
        "lasts_years = 0.1",
        [
            (
                "growth.toml, stream 'deep-holes', lasts_years: 0.1 years round to no period at "
                "all. At least half a period: 0.125 years."
            )
        ],
    ),
    (
        "lasts_years = 5",
        "lasts_years = 0",
        [
            (
                "growth.toml, stream 'deep-holes', lasts_years: 0 is not above zero. Write more "
                "than 0."
            )
        ],
    ),
    (
        'options = ["fourth-axis"]',
        'options = ["fourth-axis", "pallet-changer"]',
        [
            (
                "growth.toml, stream 'five-sides', way 1, options: it can never be owned: "
                "'fourth-axis' excludes 'pallet-changer'. Check `requires`, `excludes`, `slot` "
                "and `standard` of these options."
            )
        ],
    ),
    (
        'options = ["fourth-axis"]',
        'options = ["forth-axis"]',
        [
            (
                "growth.toml, stream 'five-sides', way 1, options: there is no option "
                "'forth-axis'. Did you mean 'fourth-axis'?"
            )
        ],
    ),
    (
        'options = ["fourth-axis"]',
        'options = ["fourth-axis"]\nshare = 2',
        [
            (
                "growth.toml, stream 'five-sides', way 1, share: 2 is above 1. A share lies "
                "between 0 and 1: 0.25 for 25 %."
            )
        ],
    ),
    (
        'options = ["fourth-axis"]',
        'options = ["fourth-axis"]\nseed = 2',
        [
            (
                "growth.toml, stream 'five-sides', way 1: 'seed' is not a key of this table. It "
                "belongs to the whole file: write it above the first line in square brackets."
            )
        ],
    ),
    (
        "swing = 0.1",
        "swing = -0.1",
        ["growth.toml, stream 'robot-work', swing: -0.1 is below zero. Write 0 or more."],
    ),
    (
        "discount_rate = 0.09",
        "discount_rat = 0.09",
        [
            (
                "growth.toml: 'discount_rat' is not a known key. Did you mean 'discount_rate'? "
                "Allowed: horizon_years, periods_per_year, discount_rate, retrofit_inflation, "
                "futures, seed, driver, stream."
            ),
            (
                "growth.toml, discount_rate: is missing. Wanted: effective per year, nominal "
                "[1/year]."
            ),
        ],
    ),
    (
        'name = "Aluminium housings"',
        'name = "Aluminium\\u0007 housings"',
        [
            (
                "growth.toml, stream 'aluminium', name: 'Aluminium\\u0007 housings' holds the "
                "control character U+0007. Take it out of the text."
            )
        ],
    ),
    (
        'name = "Aluminium housings"',
        'name = "Aluminium housings',
        [
            (
                "growth.toml, line 96, column 27: illegal character '\\n', found: name = "
                '"Aluminium housings. Close the quotation marks on the same line.'
            )
        ],
    ),
    (
        'name = "Aluminium housings"',
        'name = "Aluminium\\nhousings"',
        [
            (
                "growth.toml, stream 'aluminium', name: 'Aluminium\\u000ahousings' holds a tab or "
                "a line break. Write it on one line."
            )
        ],
    ),
    (
        'id = "aluminium"',
        'id = "aluminium"\nid = "b"',
        ['growth.toml, line 96, column 9: cannot overwrite a value, found: id = "b".'],
    ),
    (
        "horizon_years = 8 ",
        "horizon_years = 60\nperiods_per_year = 12\n#",
        [
            (
                "growth.toml, line 6, column 21: cannot overwrite a value, found: "
                "periods_per_year = 4."
            )
        ],
    ),
    (
        "[[driver]]                       #",
        "[driver]                         #",
        [
            (
                "growth.toml, line 15, column 9: cannot overwrite a value, found: [[driver]]. "
                "Write every table of a list in double brackets."
            )
        ],
    ),
    (
        "stream.way]]                   # options",
        "stream.way]                     # options",
        [
            (
                "growth.toml, line 31, column 13: expected ']]' at the end of an array "
                "declaration, found: [[stream.way]. Write every table of a list in double "
                "brackets."
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
