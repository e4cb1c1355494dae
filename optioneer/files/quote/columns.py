"""Which columns of a dealer's list hold names, prices and codes."""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from optioneer.files.plain.numerals import excerpt
from optioneer.files.quote.amounts import readings_of
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
        *("extended price", "list", "net", "netto", "gross", "brutto", "your price"),
        *("special price", "offer price", "new price", "old price", "neupreis", "listenpreis"),
    ),
    "quantity": (
        *("qty", "quantity", "menge", "anzahl", "qte", "quantite", "cantidad", "aantal", "pcs"),
        *("pieces", "units", "stuck", "stk", "antal", "quantita"),
    ),
}
"""Headings that are known, accents and signs left out; from memory of the trade, no source."""

_QUALIFIERS = re.compile(
    r"\b(eur|usd|gbp|chf|in|net|netto|ht|excl|vat|each|pro stuck|(19|20)[0-9]{2})\b"
)
"""What a heading may also say: currency, tax, year."""

_NUMBERED = re.compile(r"column ([1-9][0-9]{0,2})")
"""How a column is named that has no heading of its own."""

_SUM = re.compile(
    r"\b(sub ?totals?|totals?|totale|totaal|sum|summe|zwischensumme|gesamt\w*|somme|sous total|"
    r"carried forward|ubertrag|vat|tva|iva|mwst|ust|btw|sales tax|tax)\b"
)

FEW = 100
"""Whole numbers that all lie below this count pieces or lines; they are no prices."""

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


def says_sum(text: str) -> bool:
    """Whether a text names a sum or a tax."""
    return _SUM.search(normal(text)) is not None


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
    told
        Whether a person has named the column of prices.
    rivals
        Columns that may hold the prices, where the question is which.
    """

    heading: int
    name: int | None
    price: int | None
    code: int | None = None
    quantity: int | None = None
    titles: Mapping[int, str] | None = None
    question: str = ""
    told: bool = False
    rivals: tuple[str, ...] = ()

    def title(self, column: int | None) -> str:
        """What a column is called."""
        if column is None:
            return ""
        return (self.titles or {}).get(column) or f"column {column + 1}"


def name_of(column: int, titles: Mapping[int, str]) -> str:
    """What tells a column apart in a mapping: its heading, or its number where that is no help."""
    alone = [normal(title) for title in titles.values()].count(normal(titles.get(column, ""))) == 1
    return titles[column] if alone and column in titles else f"column {column + 1}"


def quote_columns(rows: Sequence[QuoteRow], mapping: QuoteMapping) -> Columns:
    """The columns of a list, by its headings, else by what is in them."""
    found = [(_columns_by_heading(row), row) for row in rows[:LOOKED_AT]]
    named = [(kinds, row) for kinds, row in found if _names_all(row, mapping)]
    usable = [(k, row) for k, row in found if k.get("price") and (k.get("name") or k.get("code"))]
    numbered = all(_NUMBERED.fullmatch(text) for text in mapping.columns.values())
    for kinds, row in named or (usable if numbered else ()):
        return _by_headings(kinds, row, rows, mapping)
    if not numbered:
        wanted = " and ".join(f"'{excerpt(one)}'" for one in mapping.columns.values())
        return Columns(0, None, None, question=f"no row has the headings {wanted} of the mapping")
    return _by_content(rows, mapping)


def _names_all(row: QuoteRow, mapping: QuoteMapping) -> bool:
    """Whether all headings of a mapping stand in a row, one of them at least by its words."""
    titles = _titles(row)
    places = [_column_headed(titles, text) for text in mapping.columns.values()]
    width = len(row.cells)
    told = [_place(titles, text, width) for text in mapping.columns.values()]
    return None not in told and any(place is not None for place in places)


def _titles(row: QuoteRow) -> dict[int, str]:
    return {position: str(cell) for position, cell in enumerate(row.cells) if cell != ""}


def _column_headed(titles: Mapping[int, str], text: str) -> int | None:
    """The column with this heading, accents and signs left out where letters are left."""
    plain = normal(text)
    alike = (p for p, title in titles.items() if plain and normal(title) == plain)
    same = (p for p, title in titles.items() if title.strip() == text.strip())
    return next(same, next(alike, None))


def _place(titles: Mapping[int, str], text: str, width: int) -> int | None:
    """The column that a text of the mapping names, by heading or as `column 3`."""
    place, number = _column_headed(titles, text), _NUMBERED.fullmatch(text)
    if place is not None or number is None:
        return place
    return int(number[1]) - 1 if int(number[1]) <= width else None


def _columns_by_heading(row: QuoteRow) -> dict[str, list[int]]:
    """Columns by what their headings say."""
    found: dict[str, list[int]] = {}
    for position, cell in enumerate(row.cells):
        text = normal(str(cell)) if isinstance(cell, str) else ""
        candidates = {text, " ".join(_QUALIFIERS.sub("", text).split())} - {""}
        for kind, known in HEADS.items():
            if candidates & set(known):
                found.setdefault(kind, []).append(position)
                break
    return found


def _by_headings(
    kinds: Mapping[str, list[int]], row: QuoteRow, rows: Sequence[QuoteRow], mapping: QuoteMapping
) -> Columns:
    titles, width = _titles(row), max(len(one.cells) for one in rows)
    told, lost = _columns_in_mapping(mapping, titles, width)
    below = [one for one in rows if one.number > row.number]
    quantity = next(iter(kinds.get("quantity", [])), None)
    prices = [told["price"]] if "price" in told else kinds.get("price", [])
    price, question, rivals = _price(prices, titles, below)
    names = [told["name"]] if "name" in told else kinds.get("name", [])
    code = told.get("code", next(iter(kinds.get("code", [])), None))
    name = _wordiest(names, below) if names else code
    known = (row.number, name, price, code, quantity, titles)
    return Columns(*known, question=lost or question, told="price" in told, rivals=rivals)


def _columns_in_mapping(
    mapping: QuoteMapping, titles: Mapping[int, str], width: int
) -> tuple[dict[str, int], str]:
    """Columns that the mapping names, by what they hold, and what is asked about one not there."""
    places = {kind: _place(titles, text, width) for kind, text in mapping.columns.items()}
    lost = [mapping.columns[kind] for kind, place in places.items() if place is None]
    question = f"there is no '{excerpt(lost[0])}' that the mapping names" if lost else ""
    return {kind: place for kind, place in places.items() if place is not None}, question


def _price(
    columns: Sequence[int], titles: Mapping[int, str], rows: Sequence[QuoteRow]
) -> tuple[int | None, str, tuple[str, ...]]:
    """The column with the price of a line, and what is asked when several differ, and of which."""
    if not columns:
        return None, "no column of prices is known", ()
    if any(_differ(rows, columns[0], other) for other in columns[1:]):
        names = tuple(name_of(one, titles) for one in columns)
        asked = " or ".join(f"'{excerpt(name)}'" for name in names)
        return None, f"which column holds the price: {asked}", names
    return columns[-1], "", ()


def _differ(rows: Sequence[QuoteRow], one: int, other: int) -> bool:
    """Whether two columns say different prices of a line, or only one of them says any."""
    return any(
        bool(a) != bool(b) or (a and not set(a) & set(b))
        for row in rows
        if not any(says_sum(text) for text in row.cells if isinstance(text, str))
        for a, b in [(readings_of(cell(row, one)).readings, readings_of(cell(row, other)).readings)]
    )


def cell(row: QuoteRow, column: int | None) -> str | float:
    """A cell of a row, '' where there is none."""
    return row.cells[column] if column is not None and column < len(row.cells) else ""


def _wordiest(columns: Sequence[int], rows: Sequence[QuoteRow]) -> int:
    def letters(column: int) -> int:
        return sum(sum(c.isalpha() for c in str(cell(row, column))) for row in rows)

    return max(columns, key=letters)


def _by_content(rows: Sequence[QuoteRow], mapping: QuoteMapping) -> Columns:
    """The column with most letters as names, the one with most prices as prices."""
    width = max(len(row.cells) for row in rows)
    titles = {column: f"column {column + 1}" for column in range(width)}
    told, lost = _columns_in_mapping(mapping, titles, width)
    found = [told["price"]] if "price" in told else _price_columns(rows, width)
    rest = [column for column in range(width) if column not in found]
    if not found or not rest:
        return Columns(0, None, None, question=lost or "no column holds prices")
    price, question, rivals = _price(found, titles, rows)
    name = told["name"] if "name" in told else _wordiest(rest, rows)
    known = (0, name, price, told.get("code"), None, titles)
    return Columns(*known, question=lost or question, told="price" in told, rivals=rivals)


def _price_columns(rows: Sequence[QuoteRow], width: int) -> list[int]:
    """Columns that may hold the prices: half as many numbers as the fullest, no mere counts."""
    amounts = {
        column: [one for row in rows for one in readings_of(cell(row, column)).readings[-1:]]
        for column in range(width)
    }
    full = {column: found for column, found in amounts.items() if found}
    large = {c: found for c, found in full.items() if not all(map(_is_count, found))} or full
    most = max(map(len, large.values()), default=0)
    return [column for column, found in large.items() if 2 * len(found) >= most]


def _is_count(amount: float) -> bool:
    return amount.is_integer() and 0 <= amount < FEW
