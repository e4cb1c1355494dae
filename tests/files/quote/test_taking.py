"""Ugly option lists of dealers, all invented: each maps or complains."""

from dataclasses import dataclass, field
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook

from optioneer.errors import CaseError
from optioneer.files.quote.amounts import settled, spelled
from optioneer.files.quote.mapping import MACHINE, QuoteMapping, mapping_text, read_mapping
from optioneer.files.quote.taking import Proposal, proposal, with_quote
from optioneer.model.sources import origins, recorded
from tests.files.damage import list_trial, lists_of, mapping_trial, outcomes
from tests.shop import case as shop_case

CASE = shop_case()
"""In dollars; among its options: pockets-60 at 14,500, sub-spindle at 38,000, auto-door."""


@dataclass(frozen=True)
class Ugly:
    """A list, and what is made of it.

    Parameters
    ----------
    data
        Its bytes.
    changes
        New prices by option.
    asks
        A part of the question that is asked, '' when nothing is.
    guessed, unplaced, left_out
        How many lines each.
    """

    data: bytes
    changes: dict[str, float] = field(default_factory=dict)
    asks: str = ""
    guessed: int = 0
    unplaced: int = 0
    left_out: int = 0


def book(*rows: list[Any]) -> bytes:
    made, data = Workbook(), BytesIO()
    sheet = made.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    made.save(data)
    return data.getvalue()


UGLY = {
    "plain": Ugly(b"option,price\nsub-spindle,39000\npockets-60,14500\n", {"sub-spindle": 39000}),
    "other order, other names": Ugly(
        b"Preis;Bezeichnung\n39.500,00;Sub-spindle\n15.000,00;60 tool pockets\n",
        {"sub-spindle": 39500, "pockets-60": 15000},
    ),
    "thousands with points, settled by another price": Ugly(
        b"Beschreibung;Betrag\nSub-spindle;39.500\nAutomatic door;4.912,50\n",
        {"sub-spindle": 39500, "auto-door": 4912.5},
    ),
    "a price that can be read in two ways": Ugly(
        b"Description;Price\nAutomatic door;4.200\nSub-spindle;38000\n",
        asks="'4.200' can be read as 4200 or as 4.2",
    ),
    "both decimal marks in one column": Ugly(
        b"Description;Price\nAutomatic door;4.200\nSub-spindle;39,5\nWork light;10.25\n",
        {"sub-spindle": 39.5, "work-light": 10.25},
        asks="'4.200' can be read as",
    ),
    "currency signs and thousands commas": Ugly(
        b'Item,Price\nSub-spindle,"$39,500.00"\nAutomatic door,"$ 5,000.00"\n',
        {"sub-spindle": 39500, "auto-door": 5000},
    ),
    "another currency": Ugly(
        "Option;Preis\nSub-spindle;39.500,00 €\n".encode(),
        {"sub-spindle": 39500},
        asks="prices are in EUR and the case is in USD",
    ),
    "another currency in the heading": Ugly(
        b"Option;Preis EUR\nSub-spindle;39.500,00\n",
        {"sub-spindle": 39500},
        asks="prices are in EUR",
    ),
    "subtotals, tax and total": Ugly(
        b"Description,Amount\nSub-spindle,38000\n60 tool pockets,14900\nSubtotal,52900\n"
        b"Automatic door,4800.50\nVAT 20 %,11540.10\nTOTAL,69240.60\n",
        {"pockets-60": 14900},
        left_out=3,
    ),
    "a sum without a word for it": Ugly(
        b"Description,Amount\nSub-spindle,38000\n60 tool pockets,14900\nPosition A,52900\n",
        {"pockets-60": 14900},
        left_out=1,
    ),
    "blank lines, a letterhead and a foot": Ugly(
        b"Quotation 4711;;;\nfor the attention of the buyer;;;\n;;;\nPos.;Description;Qty;Price\n"
        b";;;\n1;Sub-spindle;1;39000\n;;;\n2;Automatic door;1;4900\n;;;\nvalid 30 days;;;\n",
        {"sub-spindle": 39000, "auto-door": 4900},
        left_out=1,
    ),
    "windows-1252": Ugly(
        "Désignation;Prix H.T.\nSub-spindle;39 000,00\nPorte automatique — été;4 900,00\n".encode(
            "cp1252"
        ),
        {"sub-spindle": 39000},
        unplaced=1,
    ),
    "utf-16 with tabs": Ugly(
        "Description\tPrice\nSub-spindle\t39000\nAutomatic door\t4900\n".encode("utf-16"),
        {"sub-spindle": 39000, "auto-door": 4900},
    ),
    "utf-16 without a mark": Ugly(
        "Description\tPrice\nSub-spindle\t39000\n".encode("utf-16-le"), {"sub-spindle": 39000}
    ),
    "no headings at all": Ugly(
        b"Sub-spindle|39000.00\nAutomatic door|4900.00\n",
        {"sub-spindle": 39000, "auto-door": 4900},
    ),
    "nearly the names": Ugly(
        b"Description,Price\nSubspindle,39000\nWork probing,6200\n", guessed=2
    ),
    "two lines for one option": Ugly(
        b"Description,Price\nSub-spindle,39000\nsub-spindle,38000\n", unplaced=2
    ),
    "included, and a standard item": Ugly(
        b"Description,Price\nWork light,incl.\nSub-spindle,39000\n", {"sub-spindle": 39000}
    ),
    "two prices that differ": Ugly(
        b"Description,List price,Net price\nSub-spindle,41000,39000\n",
        asks="which column holds the price: 'List price' or 'Net price'",
    ),
    "quantity, price each and total": Ugly(
        b"Description,Qty,Unit price,Total\nSub-spindle,2,19500,39000\n",
        asks="which column holds the price: 'Unit price' or 'Total'",
    ),
    "one of each, price each and total": Ugly(
        b"Description,Qty,Unit price,Total\nSub-spindle,1,39000,39000\nSubtotal,,,39000\n",
        {"sub-spindle": 39000},
        left_out=1,
    ),
    "a quantity and one price": Ugly(
        b"Description,Qty,Price\nSub-spindle,2,19500\nAutomatic door,1 pc,4900\n",
        {"sub-spindle": 19500, "auto-door": 4900},
        asks="row 2, Sub-spindle: 2 pieces: is 19500 the price of all of them?",
    ),
    "list and net in one word": Ugly(
        b"Description,List,Net\nSub-spindle,41000,39000\n",
        asks="which column holds the price: 'List' or 'Net'",
    ),
    "two years": Ugly(
        b"Description;Price 2026;Price 2027\nSub-spindle;39000;40500\n",
        asks="which column holds the price: 'Price 2026' or 'Price 2027'",
    ),
    "two years alone": Ugly(
        b"Description;2026;2027\nSub-spindle;39000;40500\nAutomatic door;4900;5000\n",
        asks="which column holds the price: 'column 2' or 'column 3'",
    ),
    "two prices without headings": Ugly(
        b"Sub-spindle;41000;39000\nAutomatic door;5100;4900\n",
        asks="which column holds the price: 'column 2' or 'column 3'",
    ),
    "two columns with one heading": Ugly(
        b"Description;Price;Price\nSub-spindle;41000;39000\n",
        asks="which column holds the price: 'column 2' or 'column 3'",
    ),
    "a second price for one line only": Ugly(
        b"Description;Price;Net price\nSub-spindle;39000;39000\nAutomatic door;4900;\n",
        asks="which column holds the price: 'Price' or 'Net price'",
    ),
    "positions and pieces without headings": Ugly(
        b"1;Sub-spindle;1;39000\n2;Automatic door;1;4900\n",
        {"sub-spindle": 39000, "auto-door": 4900},
    ),
    "a price below zero for an option": Ugly(
        b"Description,Price\nSub-spindle,-1500.00\nAutomatic door,4900\n",
        {"auto-door": 4900},
        unplaced=1,
    ),
    "a price beyond all prices": Ugly(
        b"Description,Price\nSub-spindle,1000000000000\nAutomatic door,4900\n",
        {"auto-door": 4900},
        unplaced=1,
    ),
    "a price of four hundred digits": Ugly(
        b"Description,Price\nSub-spindle," + b"9" * 400 + b"\nAutomatic door,4900\n",
        {"auto-door": 4900},
        asks="is no price",
    ),
    "digits grouped by four": Ugly(
        b"Description;Price\nSub-spindle;3.9000\nAutomatic door;4900,50\n",
        {"sub-spindle": 39000, "auto-door": 4900.5},
    ),
    "digits grouped by four, unsettled": Ugly(
        b"Description,Price\nSub-spindle,3.8000\n", asks="'3.8000' can be read as 38000 or as 3.8"
    ),
    "a price far from the one in the case": Ugly(
        b"Description,Price\nSub-spindle,3.80\nAutomatic door,4900\n",
        {"sub-spindle": 3.8, "auto-door": 4900},
        asks="row 2, Sub-spindle: 3.8 where the case has 38000",
    ),
    "a discount below zero": Ugly(
        b"Description,Price\nSub-spindle,39000\nShow discount,-1500.00\n",
        {"sub-spindle": 39000},
        unplaced=1,
    ),
    "dashes for cents and a machine": Ugly(
        b"Bezeichnung;Betrag\nGrundmaschine;299.000,-\nSub-spindle;39.500,--\n",
        {MACHINE: 299000, "sub-spindle": 39500},
    ),
    "apostrophes and a code": Ugly(
        "Art. Nr.;Text;Preis\nSUB-SPINDLE;Gegenspindel;39\u2019500.00\n".encode(),
        {"sub-spindle": 39500},
    ),
    "a workbook": Ugly(
        book(["Offer"], [], ["Ref", "Item", "Price"], [1, "Sub-spindle", 39000.5]),
        {"sub-spindle": 39000.5},
    ),
    "cells that a spreadsheet would run": Ugly(
        b"Description,Price\n=Sub-spindle,39000\n@auto,1\n", {"sub-spindle": 39000}, unplaced=1
    ),
}


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


SPELLINGS = {
    "1234": (1234,),
    "1234.50": (1234.5,),
    "1234,50": (1234.5,),
    "1,234.50": (1234.5,),
    "1.234,50": (1234.5,),
    "1 234,50": (1234.5,),
    "1\u00a0234,50": (1234.5,),
    "1\u202f234,50": (1234.5,),
    "1'234.50": (1234.5,),
    "1\u2019234.50": (1234.5,),
    "1.234.567,00": (1234567,),
    "1,234,567": (1234567,),
    "4.200": (4200, 4.2),
    "4,200": (4200, 4.2),
    "0.500": (0.5,),
    "12,5": (12.5,),
    "4.200,-": (4200,),
    "4'200.\u2013": (4200,),
    "(350.00)": (-350,),
    "350.00-": (-350,),
    "-1.200,00": (-1200,),
    "USD 4,800.00": (4800,),
    "4 800 kr": (4800,),
    "\uff11\uff12": (12,),
    "12.34.56": (),
    "1,23.4,5": (),
    "1e5": (),
    "NaN": (),
    "inf": (),
    "1_000": (),
    "abc": (),
    "": (),
}


@pytest.mark.parametrize("text", SPELLINGS)
def test_a_price_is_read_right_in_doubt_or_not_at_all(text: str) -> None:
    assert spelled(text).readings == SPELLINGS[text]


@pytest.mark.parametrize("text", [text for text in SPELLINGS if len(SPELLINGS[text]) > 1])
def test_a_price_in_doubt_stays_so_without_a_mark_to_settle_it(text: str) -> None:
    assert len(settled(text, "")) > 1


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
    said = recorded(CASE, "growth/discount_rate", who="bank")
    option = CASE.catalogue.options[0]
    text = f"Name;Price\n{option.name};{option.price + 10:.2f}\n".encode()
    answer = proposal(text, said, name="list.csv").answer
    after = with_quote(said, answer, quoted=date(2027, 1, 15))
    (line,) = (after.sources or ())[1:]
    assert (line.source, line.who, line.date) == ("quoted", "list.csv", date(2027, 1, 15))
    assert origins(after)[line.key] == "quoted"
    assert with_quote(CASE, answer).sources is None
