"""Cases as tables of cells: what is typed is kept, and what is wrong with it is said."""

from collections.abc import Mapping

import pytest

from optioneer.errors import CaseError, RequestError
from optioneer.files.case.demos import demo_folders
from optioneer.files.case.read import reading_of
from optioneer.files.case.texts import folder_texts
from optioneer.files.grid.sheet_list import SHEETS
from optioneer.files.grid.sheets import KEY, OWNER, VALUE, Edits, columns_in, rows, with_edits

DEMOS = {folder.name: folder_texts(folder) for folder in demo_folders()}
MILL = DEMOS["mill-turn"]


def edited(word: str, edits: Edits, texts: Mapping[str, str] = MILL) -> dict[str, str]:
    return with_edits(SHEETS[word], texts, edits)


def place(word: str, value: str, column: str = "id") -> int:
    found = rows(SHEETS[word], MILL)
    return next(number for number, row in enumerate(found) if row[column] == value)


def faults(texts: Mapping[str, str]) -> list[str]:
    try:
        reading_of("mill", texts)
    except CaseError as error:
        return [str(fault) for fault in error.faults]
    return []


@pytest.mark.parametrize("demo", DEMOS)
@pytest.mark.parametrize("word", SHEETS)
def test_a_sheet_that_nobody_edits_leaves_its_file_as_it_is(demo: str, word: str) -> None:
    texts = DEMOS[demo]
    if SHEETS[word].file in texts:
        assert edited(word, Edits(), texts) == texts


@pytest.mark.parametrize("word", SHEETS)
def test_every_column_tells_what_it_means(word: str) -> None:
    assert all(column.help for column in columns_in(SHEETS[word]))


@pytest.mark.parametrize(
    ("word", "change", "said"),
    [
        ("options", {"price": "abc"}, "price: 'abc' is not a number. Write plain digits"),
        ("options", {"price": "4.200"}, "can be read as 4200 or as 4.2"),
        ("options", {"standard": "perhaps"}, "'perhaps' is neither yes nor no"),
        ("streams", {"chance": "1.5"}, "chance: 1.5 is above 1. A chance lies between 0 and 1"),
        ("streams", {"margin_low": "4,200"}, "'4,200' can be read as 4200 or as 4.2"),
        ("streams", {"margin_low": "14,200.50"}, "has thousands separators. Write 14200.50."),
        ("streams", {"years_likely": "soon"}, "years, likely: 'soon' is not a number"),
        ("streams", {"drivers": "automaton = 0.5"}, "automaton"),
        ("packages", {"options": "no-such-thing"}, "there is no option 'no-such-thing'"),
        ("plans", {"rate": "7 %"}, "'7 %' has a percent sign. Write the fraction"),
        ("dealer-stages", {"when": "whenever"}, "whenever"),
        ("supplies", {"lead_days_low": "999"}, "rising order"),
    ],
)
def test_a_wrong_cell_is_kept_as_typed_and_named(
    word: str, change: dict[str, str], said: str
) -> None:
    spot = place("plans", "bank") if word == "plans" else 0
    texts = edited(word, Edits(changed={spot: change}))
    column, typed = next(iter(change.items()))
    assert rows(SHEETS[word], texts)[spot][column] == typed
    assert any(said in fault for fault in faults(texts)), faults(texts)


@pytest.mark.parametrize(
    "word", ["options", "streams", "ways", "plans", "dealer-stages", "supplies"]
)
def test_a_wrong_cell_put_right_gives_the_old_case(word: str) -> None:
    column = {"options": "price", "streams": "chance", "supplies": "price"}.get(word, "share")
    column = "months" if word == "plans" else column
    spot = place("plans", "bank") if word == "plans" else 0
    before = rows(SHEETS[word], MILL)[spot][column]
    wrong = edited(word, Edits(changed={spot: {column: "??"}}))
    right = edited(word, Edits(changed={spot: {column: before}}), wrong)
    assert faults(wrong)
    assert reading_of("mill", right).case == reading_of("mill", MILL).case


def test_only_the_line_of_the_edited_cell_changes() -> None:
    old = MILL["growth.toml"].splitlines()
    new = edited("streams", Edits(changed={2: {"chance": "0.5"}}))["growth.toml"].splitlines()
    assert [b for a, b in zip(old, new, strict=True) if a != b] == [
        next(line for line in new if line.startswith("chance = 0.5 "))
    ]


def test_a_new_row_says_what_it_still_lacks() -> None:
    texts = edited("streams", Edits(added=[{"id": "night-shift", "chance": "0.5"}]))
    assert {fault.split(", ")[2].split(":")[0] for fault in faults(texts)} == {"years", "margin"}


def test_two_rows_with_one_id_are_both_kept_and_named() -> None:
    first = rows(SHEETS["drivers"], MILL)[0]
    texts = edited("drivers", Edits(added=[{"id": first["id"], "name": "again"}]))
    assert len(rows(SHEETS["drivers"], texts)) == len(rows(SHEETS["drivers"], MILL)) + 1
    assert rows(SHEETS["drivers"], texts)[0]["name"] == first["name"]
    assert any("share it" in fault for fault in faults(texts))


def test_rows_go_and_the_others_keep_every_byte() -> None:
    texts = edited("options", Edits(removed=[0]))
    lines = MILL["options.csv"].splitlines()
    assert texts["options.csv"].splitlines() == [lines[0], *lines[2:]]


def test_a_name_that_a_spreadsheet_would_take_for_a_formula_stands_behind_an_apostrophe() -> None:
    texts = edited("options", Edits(changed={0: {"name": "=2+3"}}))
    assert ",'=2+3," in texts["options.csv"]
    assert rows(SHEETS["options"], texts)[0]["name"] == "=2+3"


def test_a_blank_cell_leaves_a_figure_out_and_an_empty_table_goes() -> None:
    places = {row[KEY]: number for number, row in enumerate(rows(SHEETS["income-tax"], MILL))}
    blank = {number: {VALUE: ""} for number in places.values()}
    assert "[income_tax]" not in edited("income-tax", Edits(changed=blank))["paying.toml"]


def test_a_table_that_is_not_there_is_begun_by_its_first_figure() -> None:
    texts = edited("sales-tax", Edits(changed={0: {VALUE: "0.07"}}))
    assert "[sales_tax]\nrate = 0.07" in texts["paying.toml"]
    assert faults(texts) == []


def test_a_way_belongs_to_the_stream_that_is_named() -> None:
    stream = rows(SHEETS["streams"], MILL)[3]["id"]
    added = {OWNER: stream, "options": "sub-spindle", "share": "0.5"}
    texts = edited("ways", Edits(added=[added]))
    assert {**added, "hours": ""} in [dict(row) for row in rows(SHEETS["ways"], texts)]
    with pytest.raises(RequestError, match="'nobody' in the column 'of' is not known"):
        edited("ways", Edits(added=[{OWNER: "nobody", "share": "1"}]))


def test_a_figure_with_a_unit_of_ones_own_is_kept_with_it() -> None:
    places = {row[KEY]: number for number, row in enumerate(rows(SHEETS["shop"], MILL))}
    texts = edited("shop", Edits(changed={places["run_m"]: {VALUE: "120 ft"}}))
    assert 'run_m = "120 ft"' in texts["site.toml"]
    assert faults(texts) == []


def test_a_file_that_cannot_be_parsed_is_to_be_mended_as_text() -> None:
    broken = {**MILL, "growth.toml": "[[stream]\n"}
    with pytest.raises(RequestError, match=r"growth\.toml: mend its text first"):
        rows(SHEETS["streams"], broken)
    torn = {**MILL, "options.csv": MILL["options.csv"] + "a,b\n"}
    with pytest.raises(CaseError, match="has 2 cells"):
        rows(SHEETS["options"], torn)


def test_a_case_without_a_site_gets_one_by_typing() -> None:
    bare = {name: text for name, text in MILL.items() if name != "site.toml"}
    texts = edited("openings", Edits(added=[{"id": "door", "width_m": "3.2"}]), bare)
    assert faults(texts) == []
    assert 'id = "door"' in texts["site.toml"]
