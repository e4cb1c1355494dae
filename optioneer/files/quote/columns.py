"""Which columns of a dealer's list hold names, prices and codes."""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from optioneer.files.plain.numerals import shown
from optioneer.files.quote.amounts import spelled
from optioneer.files.quote.mapping import QuoteMapping
from optioneer.files.quote.table import QuoteRow

HEADS: Mapping[str, tuple[str, ...]] = {
    "name": (
        *("description", "option", "name", "designation", "item", "product", "text", "article"),
        *("bezeichnung", "beschreibung", "artikelbezeichnung", "benennung", "libelle"),
        *("descripcion", "descrizione", "omschrijving", "benamning", "opis", "equipment"),
    ),
    "code": (
        *("code", "part no", "part number", "item no", "item number", "order code", "option code"),
        *("article no", "id", "sku", "ref", "reference", "artikelnummer", "artikel nr", "art nr"),
        *("bestellnummer", "option id", "part", "artikelnr", "codigo", "codice"),
    ),
    "price": (
        *("price", "unit price", "list price", "net price", "amount", "value", "cost", "total"),
        *("line total", "total price", "preis", "einzelpreis", "gesamtpreis", "betrag", "prix"),
        *("prix ht", "prix h t", "prix unitaire", "montant", "precio", "importe", "prezzo"),
        *("importo", "prijs", "pris", "cena", "kwota", "price each", "ext price"),
        *("extended price",),
    ),
    "quantity": ("qty", "quantity", "menge", "anzahl", "qte", "quantite", "cantidad", "aantal"),
}
"""Headings that are known, accents and signs left out; from memory of the trade, no source."""

_WHOLE = (
    *("total", "amount", "line total", "total price", "gesamtpreis", "betrag", "montant"),
    *("ext price", "extended price", "importe", "importo"),
)
"""Price headings that say quantity times price."""

LOOKED_AT = 40
"""Rows in which the headings are looked for."""


def normal(text: str) -> str:
    """A text for comparing: small letters and digits, accents and signs left out.

    Examples
    --------
    >>> normal("Prix H.T. (€)"), normal("Désignation")
    ('prix h t', 'designation')
    """
    plain = unicodedata.normalize("NFKD", text.replace("\u00df", "ss").casefold())
    kept = "".join(c if c.isalnum() else " " for c in plain if not unicodedata.combining(c))
    return " ".join(kept.split())


@dataclass(frozen=True)
class Columns:
    """Where things stand, columns counted from 0.

    Parameters
    ----------
    heading
        Number of the row of headings; 0 where there is none.
    name, price
        Their columns; none where nothing can be said.
    code, quantity
        Their columns; none where there is none.
    titles
        Headings by column.
    question
        What must be answered about the columns; '' when they are clear.
    """

    heading: int
    name: int | None
    price: int | None
    code: int | None = None
    quantity: int | None = None
    titles: Mapping[int, str] | None = None
    question: str = ""

    def title(self, column: int | None) -> str:
        """What a column is called."""
        if column is None:
            return ""
        return (self.titles or {}).get(column) or f"column {column + 1}"


def columns_of(rows: Sequence[QuoteRow], mapping: QuoteMapping) -> Columns:
    """The columns of a list, by its headings, else by what is in them."""
    found = [(_recognised(row), row) for row in rows[:LOOKED_AT]]
    told = [(kinds, row) for kinds, row in found if _told(row, mapping)]
    usable = [(k, row) for k, row in found if k.get("price") and (k.get("name") or k.get("code"))]
    for kinds, row in told or usable:
        return _by_headings(kinds, row, rows, mapping)
    if mapping.columns:
        wanted = " and ".join(f"'{shown(one)}'" for one in mapping.columns.values())
        return Columns(0, None, None, question=f"no row has the headings {wanted} of the mapping")
    return _by_content(rows)


def _told(row: QuoteRow, mapping: QuoteMapping) -> bool:
    cells = {normal(str(cell)) for cell in row.cells}
    return bool(mapping.columns) and all(normal(t) in cells for t in mapping.columns.values())


def _recognised(row: QuoteRow) -> dict[str, list[int]]:
    """Columns by what their headings say."""
    found: dict[str, list[int]] = {}
    for position, cell in enumerate(row.cells):
        text = normal(str(cell)) if isinstance(cell, str) else ""
        words = re.sub(r"\b(eur|usd|gbp|chf|in|net|netto|ht|excl|vat|each|pro stuck)\b", "", text)
        candidates = {text, " ".join(words.split())}
        for kind, known in HEADS.items():
            if candidates & set(known):
                found.setdefault(kind, []).append(position)
                break
    return found


def _by_headings(
    kinds: Mapping[str, list[int]], row: QuoteRow, rows: Sequence[QuoteRow], mapping: QuoteMapping
) -> Columns:
    titles = {position: str(cell) for position, cell in enumerate(row.cells) if cell != ""}
    told = {
        kind: next(p for p, title in titles.items() if normal(title) == normal(text))
        for kind, text in mapping.columns.items()
    }
    below = [one for one in rows if one.number > row.number]
    quantity = next(iter(kinds.get("quantity", [])), None)
    prices = [told["price"]] if "price" in told else kinds.get("price", [])
    price, question = _price(prices, titles, below)
    names = [told["name"]] if "name" in told else kinds.get("name", [])
    code = told.get("code", next(iter(kinds.get("code", [])), None))
    name = _wordiest(names, below) if names else code
    return Columns(row.number, name, price, code, quantity, titles, question)


def _price(
    columns: Sequence[int], titles: Mapping[int, str], rows: Sequence[QuoteRow]
) -> tuple[int | None, str]:
    """The column with the price of a line, and what is asked when several differ."""
    if not columns:
        return None, "no column of prices is known"
    if len(columns) == 1:
        return columns[0], ""
    if any(_differ(rows, columns[0], other) for other in columns[1:]):
        whole = [one for one in columns if normal(titles[one]) in _WHOLE]
        if len(whole) == 1:
            return whole[0], ""
        names = " or ".join(f"'{shown(titles[one])}'" for one in columns)
        return None, f"which column holds the price: {names}"
    return columns[-1], ""


def _differ(rows: Sequence[QuoteRow], one: int, other: int) -> bool:
    pairs = [(spelled(cell(row, one)).readings, spelled(cell(row, other)).readings) for row in rows]
    return any(a and b and not set(a) & set(b) for a, b in pairs)


def cell(row: QuoteRow, column: int | None) -> str | float:
    """A cell of a row, '' where there is none."""
    return row.cells[column] if column is not None and column < len(row.cells) else ""


def _wordiest(columns: Sequence[int], rows: Sequence[QuoteRow]) -> int:
    def letters(column: int) -> int:
        return sum(sum(c.isalpha() for c in str(cell(row, column))) for row in rows)

    return max(columns, key=letters)


def _by_content(rows: Sequence[QuoteRow]) -> Columns:
    """The column with most letters as names, the last one with most prices as prices."""
    width = max(len(row.cells) for row in rows)

    def prices(column: int) -> int:
        return sum(bool(spelled(cell(row, column)).readings) for row in rows)

    price = max(range(width), key=lambda column: (prices(column), column))
    if not prices(price) or width == 1:
        return Columns(0, None, None, question="no column holds prices")
    name = _wordiest([one for one in range(width) if one != price], rows)
    return Columns(0, name, price)
