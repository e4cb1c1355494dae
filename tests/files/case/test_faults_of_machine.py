"""Each way to get machine.toml wrong has one sentence. All figures are invented."""

from pathlib import Path

import pytest

from optioneer.errors import CaseError
from optioneer.files.case.read import read_case
from tests.files.folders import edit, starter

FILE = "machine.toml"

WRONG = [
    (
        'currency = "EUR"',
        'currency = "EUX"',
        [
            (
                "machine.toml, machine, currency: there is no currency 'EUX'. Write an ISO 4217 "
                "code such as EUR, USD or JPY."
            )
        ],
    ),
    (
        'currency = "EUR"',
        'currency = "eur"',
        [
            (
                "machine.toml, machine, currency: 'eur' is not a currency code. Write an ISO "
                "4217 code in capitals, such as EUR."
            )
        ],
    ),
    (
        "base_price = 98500.00",
        'base_price = "98500.00"',
        [
            (
                "machine.toml, machine, base_price: '98500.00' is not a number. Write a number "
                "without quotes: 1234.50."
            )
        ],
    ),
    (
        "base_price = 98500.00",
        "base_price = 98.500",
        [
            (
                "machine.toml, machine, base_price: 98.500 can be read as 98500 or as 98.5. "
                "Write 98500 or 98.50."
            )
        ],
    ),
    (
        "base_price = 98500.00",
        "base_price = 98,500",
        [
            (
                "machine.toml, line 11, column 16: expected newline or end of document after a "
                "statement, found: base_price = 98,500. Write numbers as plain digits with a "
                "point for decimals: 312000.00."
            )
        ],
    ),
    (
        "base_price = 98500.00",
        "base_price = inf",
        [
            (
                "machine.toml, machine, base_price: inf is not a finite number. Write a number: "
                "1234.50."
            )
        ],
    ),
    (
        "base_price = 98500.00",
        "base_price = true",
        [
            (
                "machine.toml, machine, base_price: true is not a number. Write a number without "
                "quotes: 1234.50."
            )
        ],
    ),
    (
        "base_price = 98500.00",
        "",
        [
            (
                "machine.toml, machine, base_price: is missing. Wanted: price of the standard "
                "machine [money]."
            )
        ],
    ),
    (
        "margin_per_day",
        "margin_a_day",
        [
            (
                "machine.toml, machine, margin_per_day: is missing. Wanted: earned on a normal "
                "working day; what a day of downtime costs [money/day]."
            ),
            (
                "machine.toml, machine: 'margin_a_day' is not a known key. Did you mean "
                "'margin_per_day'? Allowed: name, kind, base_price, currency, margin_per_day, "
                "resale_share, kept_years."
            ),
        ],
    ),
    (
        "resale_share = 0.25",
        "resale_share = 25",
        [
            (
                "machine.toml, machine, resale_share: 25 is above 1. A share lies between 0 and "
                "1: 0.25 for 25 %."
            )
        ],
    ),
    (
        "resale_share = 0.25",
        "resale_share = 25%",
        [
            (
                "machine.toml, line 15, column 18: expected newline or end of document after a "
                "statement, found: resale_share = 25%. Write a percentage as a fraction: 0.6 for "
                "60 %."
            )
        ],
    ),
    (
        'name = "Example machining centre"',
        "name = 5",
        ['machine.toml, machine, name: 5 is not text. Write text in quotes: "text".'],
    ),
    (
        "[machine]",
        "[machin]",
        [
            (
                "machine.toml: 'machin' is not a known key. Did you mean 'machine'? Allowed: "
                "machine, hours, dates, call_out, bundle, package."
            ),
            "machine.toml, [machine]: is missing. machine.toml holds a table [machine].",
        ],
    ),
    (
        "[dates]\n",
        "[[dates]]\n",
        [("machine.toml, dates: a list of tables is not one table. Write it once, as [dates].")],
    ),
    (
        "order = 2027-02-01",
        'order = "2027-02-01"',
        [
            (
                "machine.toml, dates, order: '2027-02-01' is not a date. Write a date without "
                "quotes and without a time: 2027-02-01."
            )
        ],
    ),
    (
        "order = 2027-02-01",
        "order = 01.02.2027",
        [
            (
                "machine.toml, line 27, column 10: expected newline or end of document after a "
                "statement, found: order = 01.02.2027. Write dates as year-month-day: 2027-02-01."
            )
        ],
    ),
    (
        "order = 2027-02-01",
        "order = 2027-02-30",
        [
            (
                "machine.toml, line 27, column 9: invalid date or datetime, found: order = "
                "2027-02-30. Write a day that there is, as 2027-02-28."
            )
        ],
    ),
    (
        "order = 2027-02-01",
        "order = 1927-02-01",
        [
            (
                "machine.toml, dates, order: 1927-02-01 is below 1990-01-01. Write 1990-01-01 or "
                "later."
            )
        ],
    ),
    (
        "# first_chips = 2027-07-01",
        "first_chips = 2027-01-01",
        [
            (
                "machine.toml, dates, first_chips: 2027-01-01 is before the order of 2027-02-01. "
                "Write the order date or a later one."
            )
        ],
    ),
    (
        "# first_chips = 2027-07-01",
        "first_chips = 2027-07-01\nlead = 0.4",
        [
            (
                "machine.toml, dates, lead: both `lead` and `first_chips` are given. Keep one of "
                "the two."
            )
        ],
    ),
    (
        "build_weeks = 18",
        "build_weeks = -18",
        ["machine.toml, dates, build_weeks: -18 is below zero. Write 0 or more."],
    ),
    (
        "controls = 950.00",
        "Controls = 950.00",
        [
            (
                "machine.toml, call_out, Controls: 'Controls' is not an id. An id is lower-case "
                "letters and digits joined by single hyphens: 'controls'."
            )
        ],
    ),
    (
        "controls = 950.00",
        "controls = -950.00",
        ["machine.toml, call_out, controls: -950 is below zero. Write 0 or more."],
    ),
    (
        "controls = 950.00",
        "controls = 950.00\nnone = 3",
        [
            (
                "machine.toml, call_out, none: 'none' means no visit in options.csv. Give the "
                "call-out another name."
            )
        ],
    ),
    (
        'options = ["robot-interface", "auto-door"]',
        'options = ["robot-interface", "robot-prepared"]',
        [
            (
                "machine.toml, bundle 'automation-pack', options: it can never be ordered: "
                "'robot-prepared' and 'robot-interface' share the slot 'robot'. Check "
                "`requires`, `excludes`, `slot` and `standard` of these options."
            )
        ],
    ),
    (
        'options = ["robot-interface", "auto-door"]',
        'options = ["fourth-axis", "pallet-changer"]',
        [
            (
                "machine.toml, bundle 'automation-pack', options: it can never be ordered: "
                "'fourth-axis' excludes 'pallet-changer'. Check `requires`, `excludes`, `slot` "
                "and `standard` of these options."
            )
        ],
    ),
    (
        'options = ["robot-interface", "auto-door"]',
        'options = ["robot-interface"]',
        [
            (
                "machine.toml, bundle 'automation-pack', options: ['robot-interface'] names too "
                "few. Name at least two."
            )
        ],
    ),
    (
        'options = ["robot-interface", "auto-door"]',
        'options = "robot-interface"',
        [
            (
                "machine.toml, bundle 'automation-pack', options: 'robot-interface' is not a "
                'list. Write a list in square brackets: ["a", "b"].'
            )
        ],
    ),
    (
        'options = ["robot-interface", "auto-door"]',
        'options = ["robot-interface", "autodoor"]',
        [
            (
                "machine.toml, bundle 'automation-pack', options: there is no option 'autodoor'. "
                "Did you mean 'auto-door'?"
            )
        ],
    ),
    (
        'options = ["tool-setter"]',
        'options = ["tool-setter", "unattended-kit"]',
        [
            (
                "machine.toml, package 'lean', options: it breaks a rule: 'unattended-kit' "
                "requires 'auto-door'. Add what is required to `options`."
            )
        ],
    ),
    (
        'options = ["tool-setter"]',
        'options = ["tool-setter", "robot-prepared", "robot-interface"]',
        [
            (
                "machine.toml, package 'lean', options: it breaks a rule: 'robot-prepared' and "
                "'robot-interface' share the slot 'robot'. Check `requires`, `excludes`, `slot` "
                "and `standard` of these options."
            )
        ],
    ),
    (
        'options = ["tool-setter"]',
        'options = ["auto-door", "fourth-axis", "pallet-changer"]',
        [
            (
                "machine.toml, package 'lean', options: it breaks a rule: 'fourth-axis' excludes "
                "'pallet-changer'. Check `requires`, `excludes`, `slot` and `standard` of these "
                "options."
            )
        ],
    ),
    (
        'without = ["wash-gun"]',
        'without = ["work-probe"]',
        [
            (
                "machine.toml, package 'lean', without: 'work-probe' is not standard. Only "
                "standard items are left off; others just stay out of `options`."
            )
        ],
    ),
    (
        'without = ["wash-gun"]',
        'without = ["spindle-12k"]',
        [
            (
                "machine.toml, package 'lean', without: 'spindle-12k' has no delete_credit: it "
                "cannot be left off. Give it a delete_credit (0 will do) or take it out of "
                "`without`."
            )
        ],
    ),
    (
        'without = ["wash-gun"]',
        'without = ["tool-setter"]',
        [
            (
                "machine.toml, package 'lean', without: 'tool-setter' is in `options` too. Keep "
                "one of the two."
            )
        ],
    ),
    (
        'id = "lean"',
        'id = "as-quoted"',
        [
            (
                "machine.toml, package 'as-quoted', id: number 1 and number 2 share it. Each "
                "package has an id of its own."
            )
        ],
    ),
    (
        'id = "lean"',
        "",
        ["machine.toml, package 2, id: is missing. Wanted: id, unique among packages."],
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
