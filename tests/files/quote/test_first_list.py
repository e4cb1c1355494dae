"""Lists of dealers for a case without options: invented ones that the kinds were not made from."""

from functools import cache
from pathlib import Path

import pytest

from optioneer.errors import CaseError
from optioneer.files.case.demos import demo_folders
from optioneer.files.quote.first_list import listing, price_columns
from optioneer.files.quote.kind_words import kind_meant, machine_kind
from optioneer.files.quote.mapping import QuoteMapping
from optioneer.study.start.list_lines import Listing, ListLine

LISTS = Path(__file__).parent / "lists"

OPEN = "?"
"""A line of which a person could not say either what it is, or only by asking."""

LATHE = {
    10: "sub-spindle",
    11: "tailstock",
    12: "y-axis",
    13: "driven-tools",
    14: "chuck",
    15: "collet-chuck",
    16: "part-catcher",
    17: "part-belt",
    18: "tool-setter",
    20: "conveyor",
    21: "coolant-pressure",
    22: "mist",
    23: "filter",
    24: "skimmer",
    25: "wash-gun",
    27: "bar-interface",
    28: "bar-feeder",
    29: "auto-door",
    30: "robot-interface",
    31: "signal-lamp",
    33: "tool-package",
    34: "driven-holder",
    35: OPEN,
    36: "transformer",
    37: "warranty",
    38: "freight",
    39: "commissioning",
}
MILL = {
    5: "magazine",
    6: "magazine",
    7: "magazine",
    8: "spindle",
    9: "spindle-torque",
    10: "spindle-cooler",
    11: "scales",
    12: "through-coolant",
    13: "coolant-pressure",
    14: "probe",
    15: "laser-setter",
    16: "tool-setter",
    17: "conveyor",
    18: "filter",
    19: "mist",
    20: "coolant-chiller",
    21: "chip-flush",
    22: "wash-gun",
    23: "auto-door",
    24: "robot-interface",
    25: "zero-point",
    26: "fixture-hydraulics",
    27: "thermal",
    28: "collision-check",
    29: "control-functions",
    30: "memory-data",
    31: "machine-data",
    32: "handwheel",
    33: "work-light",
    34: "window",
    35: "camera",
    36: "cabinet-cooler",
    37: OPEN,
    38: "warranty",
    39: "freight",
    40: "training",
}
USED = {
    4: "overhaul",
    5: "overhaul",
    6: "overhaul",
    7: "magazine",
    8: "fourth-axis",
    9: "axis-wiring",
    10: "conveyor",
    11: "through-coolant",
    12: "probe",
    13: "tool-setter",
    14: "coolant-tank",
    15: "mist",
    16: "skimmer",
    17: "vice",
    18: "tool-package",
    19: "control-functions",
    20: "memory-data",
    21: "auto-door",
    22: "transformer",
    23: OPEN,
    24: "commissioning",
    25: "commissioning",
    26: "training",
}
MEANT = {"lathe": LATHE, "five-axis-mill": MILL, "used-mill": USED}
"""What each line is, by row."""

CHARGES = {"freight", "commissioning", "training", "documents"}
"""Of these each will do for the others: all of them are paid with the machine."""


@cache
def made_of(name: str) -> Listing:
    return listing((LISTS / f"{name}.csv").read_bytes(), f"{name}.csv")


def lines(name: str) -> dict[int, ListLine]:
    return {line.row: line for line in made_of(name).lines}


@pytest.mark.parametrize("name", MEANT)
def test_at_least_85_percent_of_the_lines_are_laid_right(name: str) -> None:
    found = lines(name)
    right = [row for row, kind in MEANT[name].items() if _same(found[row].kind, kind)]
    assert len(right) >= 0.85 * len(MEANT[name]), sorted(set(MEANT[name]) - set(right))


@pytest.mark.parametrize("name", MEANT)
def test_none_is_laid_wrong_without_asking(name: str) -> None:
    found = lines(name)
    wrong = {
        row: (found[row].text, found[row].kind)
        for row, kind in MEANT[name].items()
        if found[row].kind and not _same(found[row].kind, kind)
    }
    assert wrong == {}


def _same(found: str, meant: str) -> bool:
    return found == meant or (found in CHARGES and meant in CHARGES)


@pytest.mark.parametrize("name", MEANT)
def test_what_is_in_doubt_is_asked(name: str) -> None:
    made = made_of(name)
    rows = {line.row for line in made.open}
    assert {row for row, kind in MEANT[name].items() if kind == OPEN} <= rows


@pytest.mark.parametrize("name", MEANT)
def test_no_line_is_lost_and_none_made_up(name: str) -> None:
    found = lines(name)
    options = {row for row, line in found.items() if line.role in {"option", "charge"}}
    discounts = {row for row in options if (found[row].price or 0.0) < 0}
    assert options - discounts == set(MEANT[name])


MACHINES = {
    "lathe": ("lathe", 112400.0, "EUR"),
    "five-axis-mill": ("mill", 348000.0, "CHF"),
    "used-mill": ("mill", 46500.0, "USD"),
}


@pytest.mark.parametrize("name", MACHINES)
def test_the_dearest_line_is_the_machine(name: str) -> None:
    made = made_of(name)
    (bare,) = made.of("machine")
    assert (made.machine, bare.price, made.currency) == MACHINES[name]


def test_included_is_standard_and_has_no_price() -> None:
    found = lines("five-axis-mill")
    assert [row for row, line in found.items() if line.included] == [5, 10, 33]
    assert all(found[row].price is None for row in (5, 10, 33))


def test_the_price_of_all_pieces_is_taken_where_it_is_just_that() -> None:
    found = lines("lathe")
    assert (found[33].price, found[34].price) == (2590.0, 2960.0)


def test_pieces_with_one_price_are_asked_about() -> None:
    assert "2 pieces" in lines("used-mill")[17].asks


def test_a_price_on_request_is_asked_for_and_a_discount_too() -> None:
    found = lines("lathe")
    assert "is no price" in found[31].asks
    assert "discount" in found[41].asks


def test_sums_taxes_and_headings_are_left_out() -> None:
    found = lines("lathe")
    assert all(found[row].role == "left out" for row in (6, 8, 9, 19, 26, 32, 40, 42))


def test_what_is_not_settled_is_marked_or_left_out_and_nothing_is_open() -> None:
    marked = made_of("lathe").marked()
    found = {line.row: line for line in marked.lines}
    assert marked.open == ()
    assert found[35].kind == "to-be-asked"
    assert found[31].role == "left out"
    assert found[31].why.startswith("to be asked")


def test_two_columns_of_prices_that_say_different_things_are_asked_about() -> None:
    text = b"Description;List price;Your price\nLathe;90000;88000\nProbe;5000;4700\n"
    assert price_columns(text, "x.csv") == ("List price", "Your price")
    with pytest.raises(CaseError, match="which column holds the price"):
        listing(text, "x.csv")
    told = listing(text, "x.csv", QuoteMapping(columns={"price": "Your price"}))
    assert told.lines[1].price == 4700.0


def test_the_shipped_list_is_read_whole() -> None:
    file = demo_folders()[0].parent / "dealer-list.csv"
    made = listing(file.read_bytes(), file.name)
    assert "invented" in file.read_text(encoding="utf-8").splitlines()[0]
    assert (made.machine, made.currency) == ("lathe", "EUR")
    assert {line.row for line in made.open} == {28, 34}


SAID = {
    "Späneförderer, mit Kühlmittelbehälter": "conveyor",
    "Interface for bar feeder": "bar-interface",
    "Tool holder for driven tools": "driven-holder",
    "Chip conveyor without chip cart": "",
    "Bracket for chip conveyor": "",
    "Coolant filter and oil skimmer": "",
    "Sub-spindle": "sub-spindle",
    "12: Puerta automática": "auto-door",
    "": "",
}


@pytest.mark.parametrize("text", SAID)
def test_what_a_line_is_counts_and_not_what_is_told_of_it(text: str) -> None:
    assert kind_meant(text).kind == SAID[text]


def test_a_kind_that_the_machine_cannot_have_is_asked_about() -> None:
    assert kind_meant("Sub-spindle", "lathe").kind == "sub-spindle"
    assert kind_meant("Sub-spindle", "mill").kind == ""
    assert kind_meant("Sub-spindle", "mill").candidates == ("sub-spindle",)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Dreh-Fräszentrum M 40", "mill-turn"),
        ("Tour CNC", "lathe"),
        ("Fresatrice verticale", "mill"),
        ("Machine", ""),
    ],
)
def test_the_machine_is_known_by_its_words(text: str, kind: str) -> None:
    assert machine_kind(text) == kind
