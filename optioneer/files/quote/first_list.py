"""A dealer's list for a case that has no options yet: what each line is, by its words."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from optioneer.files.plain.numerals import excerpt, numeral
from optioneer.files.plain.source import refuse
from optioneer.files.quote.amounts import currencies_in, decimal_mark, readings_of
from optioneer.files.quote.columns import Columns, cell, normal, quote_columns
from optioneer.files.quote.kind_words import kind_meant, machine_kind
from optioneer.files.quote.lines import Choice, QuoteLine, choices, lines_of, question_of
from optioneer.files.quote.mapping import MACHINE, QuoteMapping
from optioneer.files.quote.table import QuoteRow, quote_table
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.growth import Growth
from optioneer.model.kinds.usual import usual_kinds
from optioneer.model.machine import Dates, Machine
from optioneer.study.start.list_lines import Listing, ListLine

_NOTHING = QuoteMapping()

_NO_CASE = Case(
    name="-",
    machine=Machine(name="-", kind="-", base_price=0.0, currency="USD", margin_per_day=0.0),
    dates=Dates(order=date(2000, 1, 1)),
    catalogue=Catalogue(options=()),
    growth=Growth(horizon_years=1.0, discount_rate=0.0),
)
"""A case without options: what the lines of a list mean in it is that they are new."""

HALF_A_CENT = 0.005

DISCOUNT = "a discount or credit: is it off the price of the machine?"


def listing(data: bytes, name: str, mapping: QuoteMapping = _NOTHING) -> Listing:
    """What a dealer's list holds, before there is a case.

    The dearest line is the machine, what says `included` is standard, sums and headings are left
    out, and every other line is laid to a kind by its words where they leave no doubt.

    Parameters
    ----------
    data
        The bytes of the file, text or ``.xlsx``.
    mapping
        Columns and decimal mark, where a person has told them.

    Raises
    ------
    CaseError
        It is no table that can be read, or nothing tells which column holds the prices.
    """
    label = excerpt(name, 100)
    table = quote_table(data, label)
    columns = _columns(table.rows, mapping)
    if columns.price is None:
        refuse(label, columns.question, "Name the column of prices.")
    below = [row for row in table.rows if row.number > columns.heading]
    decimal = mapping.decimal or decimal_mark([cell(row, columns.price) for row in below])
    lines = lines_of(table.rows, columns, decimal, told=bool(mapping.decimal))
    found = choices(lines, _NO_CASE, mapping)
    above = " ".join(str(c) for r in table.rows if r.number <= columns.heading for c in r.cells)
    bare = _bare(found)
    kind = machine_kind(bare.text if bare else "") or machine_kind(above)
    return Listing(
        file=label,
        notes=table.notes,
        currency=_currency(columns, below, above),
        machine=kind,
        lines=tuple(_list_line(one, bare, kind) for one in found),
    )


def price_columns(data: bytes, name: str, mapping: QuoteMapping = _NOTHING) -> tuple[str, ...]:
    """Columns that may hold the prices, where a person has to say which; none where it is clear.

    Parameters
    ----------
    data, name, mapping
        As for `listing`.
    """
    columns = _columns(quote_table(data, excerpt(name, 100)).rows, mapping)
    return columns.rivals if columns.price is None else ()


def _columns(rows: Sequence[QuoteRow], mapping: QuoteMapping) -> Columns:
    """The columns; of the price of one and of all pieces that of all, where it is just that."""
    columns = quote_columns(rows, mapping)
    if columns.price is not None or columns.quantity is None:
        return columns
    below = [row for row in rows if row.number > columns.heading]
    for rival in columns.rivals:
        told = quote_columns(rows, replace(mapping, columns={**mapping.columns, "price": rival}))
        others = [o for name in columns.rivals if name != rival for o in [_place(rows, name)]]
        if told.price is not None and all(_is_sum_of(below, columns, told, o) for o in others):
            return told
    return columns


def _place(rows: Sequence[QuoteRow], name: str) -> Columns:
    return quote_columns(rows, QuoteMapping(columns={"price": name}))


def _is_sum_of(rows: Sequence[QuoteRow], columns: Columns, total: Columns, each: Columns) -> bool:
    """Whether one column is the other times the quantity, in every row that has all three."""
    seen = 0
    for row in rows:
        amounts = [_amount(cell(row, one)) for one in (total.price, each.price, columns.quantity)]
        if None in amounts:
            continue
        all_of_them, one, count = (amount or 0.0 for amount in amounts)
        seen += 1
        if abs(all_of_them - one * count) > HALF_A_CENT:
            return False
    return seen > 0


def _amount(found: str | float) -> float | None:
    readings = readings_of(found).readings
    return readings[0] if readings else None


def _bare(found: Sequence[Choice]) -> QuoteLine | None:
    """The line of the machine: the one that says so, else the dearest."""
    named = [one.line for one in found if one.option == MACHINE and one.line.readings]
    priced = [one.line for one in found if not one.left_out and len(one.line.readings) == 1]
    by_price = sorted(named or priced, key=lambda line: -line.readings[0])
    return by_price[0] if by_price and by_price[0].readings[0] > 0 else None


def _currency(columns: Columns, rows: Sequence[QuoteRow], above: str) -> str:
    """The currency that the prices show, '' where they show none or several."""
    texts = [columns.title(columns.price), above]
    texts += [str(cell(row, columns.price)) for row in rows]
    shows = {codes[0] for text in texts if (codes := currencies_in(text))}
    return shows.pop() if len(shows) == 1 else ""


def _list_line(one: Choice, bare: QuoteLine | None, machine: str) -> ListLine:
    """What a line is."""
    line = one.line
    plain = ListLine(
        row=line.row,
        text=excerpt(line.label, 200),
        written=excerpt(line.written, 60),
        role="option",
        price=line.readings[0] if len(line.readings) == 1 else None,
    )
    if line.price == "":
        return plain.model_copy(update={"role": "left out", "why": "no price"})
    if line is bare:
        return plain.model_copy(update={"role": "machine", "asks": _price_question(line)})
    if one.left_out:
        return plain.model_copy(update={"role": "left out", "why": one.why})
    if not normal(line.label):
        return plain.model_copy(update={"role": "left out", "why": "no name"})
    if line.readings and max(line.readings) < 0:
        return plain.model_copy(update={"role": "charge", "asks": DISCOUNT})
    return plain.model_copy(update=_of_kind(line, machine))


def _of_kind(line: QuoteLine, machine: str) -> dict[str, object]:
    """Role, kind and questions of a line that is no machine and no sum."""
    found = kind_meant(line.label, machine)
    free = line.included or line.readings == (0.0,)
    charge = bool(found.kind) and usual_kinds().by_id[found.kind].charge
    if charge and free:
        return {"role": "left out", "kind": found.kind, "price": None, "why": "comes along free"}
    return {
        "role": "charge" if charge else "option",
        "kind": found.kind,
        "candidates": found.candidates,
        "included": free and not charge,
        "price": None if free else line.readings[0] if len(line.readings) == 1 else None,
        "asks": "" if free else _price_question(line),
    }


def _price_question(line: QuoteLine) -> str:
    """What must be asked about the price of a line."""
    if not line.readings:
        return f"'{excerpt(line.written)}' is no price"
    if len(line.readings) > 1:
        return f"is it {' or '.join(numeral(one) for one in line.readings)}?"
    if question_of(line):
        return f"{excerpt(line.pieces, 20)} pieces: is {excerpt(line.written)} for all of them?"
    return ""
