"""Ugly option lists of dealers, all invented: each maps or complains."""

from datetime import date
from pathlib import Path

import pytest

from optioneer.errors import CaseError
from optioneer.files.quote.mapping import QuoteMapping, mapping_text, read_mapping
from optioneer.files.quote.proposal import Proposal, proposal, with_quote
from optioneer.model.sources import origins, with_source
from tests.files.damage import list_trial, lists_of, mapping_trial, outcomes
from tests.files.quote.ugly_lists import CASE, UGLY


def made(name: str) -> Proposal:
    return proposal(UGLY[name].data, CASE, name="quote.csv")


@pytest.mark.parametrize("name", UGLY)
def test_an_ugly_list_maps_or_complains(name: str) -> None:
    ugly, found = UGLY[name], made(name).answer
    assert ugly.asks in "; ".join(found.questions)
    assert bool(found.questions) == bool(ugly.asks)
    assert found.changes == ugly.changes
    counts = (len(found.guessed), len(found.unplaced), len(found.left_out))
    assert counts == (ugly.guessed, ugly.unplaced, ugly.left_out), found


@pytest.mark.parametrize("name", UGLY)
def test_every_line_is_somewhere(name: str) -> None:
    found = made(name).answer
    places = (found.placed, found.guessed, found.unplaced, found.left_out)
    rows = [one.row for place in places for one in place]
    assert len(rows) == len(set(rows))
    assert rows or "which column" in found.questions[0]


@pytest.mark.parametrize("name", UGLY)
def test_a_saved_mapping_repeats_what_was_proposed(name: str, tmp_path: Path) -> None:
    first = made(name)
    file = tmp_path / "mapping.toml"
    file.write_text(mapping_text(first.mapping, first.guesses), encoding="utf-8")
    mapping = read_mapping(file, list(CASE.catalogue.by_id))
    again = proposal(UGLY[name].data, CASE, name="quote.csv", mapping=mapping)
    assert again.answer.changes == first.answer.changes
    assert again.answer.questions == first.answer.questions


def test_a_guess_is_taken_once_the_mapping_says_so(tmp_path: Path) -> None:
    first = made("nearly the names")
    text = (
        mapping_text(first.mapping, first.guesses)
        .replace('# "Sub', '"Sub')
        .replace("# Subspindle", "Subspindle")
    )
    (tmp_path / "m.toml").write_text(text, encoding="utf-8")
    mapping = read_mapping(tmp_path / "m.toml", list(CASE.catalogue.by_id))
    again = proposal(UGLY["nearly the names"].data, CASE, mapping=mapping)
    assert again.answer.changes == {"sub-spindle": 39000}


def test_the_decimal_mark_that_a_person_tells_settles_every_doubt() -> None:
    data = UGLY["a price that can be read in two ways"].data
    for mark, price in ((",", 4200.0), (".", 4.2)):
        found = proposal(data, CASE, mapping=QuoteMapping(decimal=mark)).answer
        assert found.changes["auto-door"] == price
        assert not any("can be read" in question for question in found.questions)


ANSWERS = {
    "two prices that differ": ("Net price", 39000),
    "quantity, price each and total": ("Unit price", 19500),
    "a quantity and one price": ("Price", 19500),
    "two years alone": ("column 2", 39000),
    "two prices without headings": ("column 3", 39000),
    "two columns with one heading": ("column 3", 39000),
}


@pytest.mark.parametrize("name", ANSWERS)
def test_naming_the_column_of_prices_answers_the_question(name: str, tmp_path: Path) -> None:
    column, price = ANSWERS[name]
    file = tmp_path / "mapping.toml"
    for mapping in (QuoteMapping(columns={"price": column}), None):  # as told, then as saved
        told = mapping or read_mapping(file, list(CASE.catalogue.by_id))
        found = proposal(UGLY[name].data, CASE, mapping=told)
        assert (found.answer.changes["sub-spindle"], found.answer.questions) == (price, ())
        file.write_text(mapping_text(found.mapping, found.guesses), encoding="utf-8")


@pytest.mark.parametrize("heading", ["", "\u20ac", "column 99", "Pris"])
def test_a_mapping_that_names_no_column_of_the_list_is_told_so(heading: str) -> None:
    data = "Description;Price;\u20ac \nSub-spindle;39000;\n".encode()
    told = QuoteMapping(columns={"price": heading, "name": "Description"})
    found = proposal(data, CASE, mapping=told).answer
    assert found.questions or heading == "\u20ac"


def test_a_surprising_price_is_taken_once_its_line_is_named() -> None:
    data = UGLY["a price far from the one in the case"].data
    first = proposal(data, CASE)
    assert first.guesses == {"Sub-spindle": "sub-spindle"}
    named = QuoteMapping(lines={"Sub-spindle": "sub-spindle"})
    assert proposal(data, CASE, mapping=named).answer.questions == ()


@pytest.mark.parametrize("amount", ["-1500", "1000000000000", "1e999"])
def test_a_person_cannot_name_a_line_that_holds_no_price(amount: str) -> None:
    data = f"Description,Price\nShow offer,{amount}\nAutomatic door,4900\n".encode()
    named = QuoteMapping(lines={"Show offer": "sub-spindle"})
    found = proposal(data, CASE, mapping=named).answer
    assert found.questions[0].startswith("row 2, Show offer: ")
    assert "e999" in amount or with_quote(CASE, found.model_copy(update={"placed": ()})) == CASE


def test_a_quote_changes_prices_and_nothing_else() -> None:
    answer = made("dashes for cents and a machine").answer
    after = with_quote(CASE, answer)
    assert after.machine.base_price == 299000
    assert after.catalogue.by_id["sub-spindle"].price == 39500
    undo = {"catalogue": CASE.catalogue, "machine": CASE.machine}
    assert after.model_copy(update=undo) == CASE


def test_a_quote_leaves_later_prices_alone() -> None:
    answer = made("thousands with points, settled by another price").answer
    before, after = CASE.catalogue.by_id, with_quote(CASE, answer).catalogue.by_id
    assert before["auto-door"].retrofittable
    assert after["auto-door"].price == 4912.5
    assert after["auto-door"].later_price == before["auto-door"].listed_later == 4800.5
    assert after["sub-spindle"].later_price is None, "it is factory-only"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ('decimal = ";"\n', "decimal: ';' is no decimal mark"),
        ('[lines]\n"x" = "sub-spindel"\n', "there is no option 'sub-spindel'. Did you mean"),
        ("[lines]\nx = 4\n", "lines: is not a table of texts"),
        ('[columns]\nnames = "x"\n', "columns, names: is not a known key"),
        ('decimal = ["."]\n', "decimal: ['.'] is no decimal mark"),
        ('[line]\nx = ""\n', "'line' is not a known key. Did you mean 'lines'?"),
    ],
)
def test_a_mapping_that_says_nothing_clear_is_refused(
    text: str, sentence: str, tmp_path: Path
) -> None:
    (tmp_path / "m.toml").write_text(text, encoding="utf-8")
    with pytest.raises(CaseError, match=r"m\.toml") as caught:
        read_mapping(tmp_path / "m.toml", list(CASE.catalogue.by_id))
    assert sentence in str(caught.value)


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "no separator makes columns"),
        (b"\n\n;;;\n", "no separator makes columns"),
        (b"one word", "no separator makes columns"),
        (b"\xff\xfe\x00", "is no text in UTF-16"),
        (b"a;b\n\x81\x8d;1\n", "neither UTF-8 nor Windows-1252"),
        (b"a;1\n" * 2001, "more than 2,000 rows"),
        (b";" * 100 + b"\n", "is empty|columns"),
    ],
)
def test_what_is_no_list_is_refused(data: bytes, why: str) -> None:
    with pytest.raises(CaseError, match=why):
        proposal(data, CASE)


def test_a_sample_of_changed_lists_is_taken_asked_about_or_refused() -> None:
    found = outcomes(60, 3, list_trial(lists_of([ugly.data for ugly in UGLY.values()]), CASE))
    assert found["taken"] + found["asked"] > 0
    assert sum(found.values()) == 60


def test_a_sample_of_changed_mappings_is_taken_asked_about_or_refused(tmp_path: Path) -> None:
    whole = lists_of([ugly.data for ugly in UGLY.values()])
    found = outcomes(60, 3, mapping_trial(whole, CASE, tmp_path))
    assert found["refused"] > 0
    assert sum(found.values()) == 60


def test_a_case_that_says_where_its_figures_are_from_notes_the_quote_and_its_day() -> None:
    said = with_source(CASE, "growth/discount_rate", who="bank")
    option = CASE.catalogue.options[0]
    text = f"Name;Price\n{option.name};{option.price + 10:.2f}\n".encode()
    answer = proposal(text, said, name="list.csv").answer
    after = with_quote(said, answer, quoted=date(2027, 1, 15))
    (line,) = (after.sources or ())[1:]
    assert (line.source, line.who, line.date) == ("quoted", "list.csv", date(2027, 1, 15))
    assert origins(after)[line.key] == "quoted"
    assert with_quote(CASE, answer).sources is None
