"""Lists as dealers really send them, all invented, and what is made of each."""

from dataclasses import dataclass, field
from io import BytesIO
from typing import Any

from openpyxl import Workbook

from optioneer.files.quote.mapping import MACHINE
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
        b"Sub-spindle|39000.00\nAutomatic door|4900.00\n", {"sub-spindle": 39000, "auto-door": 4900}
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
