"""A dealer's option list taken in: proposed first, never guessed into the case."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from pydantic import ValidationError

from optioneer.files.plain.numerals import excerpt, numeral
from optioneer.files.plain.sentences import faults_of
from optioneer.files.quote.amounts import currencies_in, decimal_mark, readings_of
from optioneer.files.quote.columns import Columns, cell, name_of, quote_columns
from optioneer.files.quote.lines import Choice, choices, lines_of, question_of
from optioneer.files.quote.mapping import MACHINE, SKIP, QuoteMapping
from optioneer.files.quote.table import QuoteRow, QuoteTable, quote_table
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.sources import all_recorded
from optioneer.study.dealer.quote_lines import SURE, OtherLine, PlacedLine, Quoted


@dataclass(frozen=True)
class Proposal:
    """What was made of a list, and the mapping that would repeat it.

    Parameters
    ----------
    mapping
        Columns, decimal mark and lines that are settled.
    guesses
        Option by the text of a line that is not settled; '' where there is not even a guess.
    """

    answer: Quoted
    mapping: QuoteMapping
    guesses: dict[str, str]


_NOTHING = QuoteMapping()

FAR = 10.0
"""A price that is so many times another is asked about."""


def proposal(
    data: bytes, case: Case, *, name: str = "quote", mapping: QuoteMapping = _NOTHING
) -> Proposal:
    """What a dealer's list says of the options of a case.

    Parameters
    ----------
    data
        The bytes of the file, text or ``.xlsx``.

    Raises
    ------
    CaseError
        It is no table that can be read.
    """
    table = quote_table(data, excerpt(name, 100))
    columns = quote_columns(table.rows, mapping)
    below = [row for row in table.rows if row.number > columns.heading]
    decimal = mapping.decimal or decimal_mark([cell(row, columns.price) for row in below])
    told = bool(mapping.decimal)
    lines = lines_of(table.rows, columns, decimal, told=told) if columns.price is not None else ()
    found = choices(lines, case, mapping)
    answer = _answer(case, table, columns, found).model_copy(
        update={"file": excerpt(name, 100), "decimal": decimal}
    )
    asked = [one for one in found if one.option and _surprise(case, one)]
    settled = _mapping_so_far(found, columns, mapping, asked=asked)
    return Proposal(answer, replace(settled, decimal=decimal), _guesses(found, asked))


def _answer(case: Case, table: QuoteTable, columns: Columns, found: Sequence[Choice]) -> Quoted:
    placed = [one for one in found if one.how in SURE]
    guessed = [one for one in found if one.option and one.how not in SURE]
    meant = {one.option for one in found}
    return Quoted(
        file="",
        currency=case.machine.currency,
        notes=(*table.notes, *_heading_note(columns)),
        name_column=columns.title(columns.name),
        price_column=columns.title(columns.price),
        code_column=columns.title(columns.code),
        decimal="",
        placed=tuple(_placed_line(case, one) for one in placed),
        guessed=tuple(_placed_line(case, one) for one in guessed),
        unplaced=tuple(_other(one) for one in found if not one.option and not one.left_out),
        left_out=tuple(_other(one) for one in found if one.left_out),
        not_quoted=tuple(o.option for o in case.catalogue.options if o.option not in meant),
        questions=tuple(_questions(case, table.rows, columns, placed)),
    )


def _heading_note(columns: Columns) -> list[str]:
    if columns.price is None:
        return []
    return [f"headings in row {columns.heading}" if columns.heading else "no row of headings"]


def _questions(
    case: Case, rows: Sequence[QuoteRow], columns: Columns, placed: Sequence[Choice]
) -> list[str]:
    asked = [columns.question] if columns.question else []
    shows = {
        codes
        for row in rows
        for codes in (readings_of(cell(row, columns.price)).currencies,)
        if codes and columns.price is not None
    }
    title = currencies_in(columns.title(columns.price))
    foreign = sorted(codes[0] for codes in shows | {title} if codes and _foreign(case, codes))
    if foreign:
        own = case.machine.currency
        what = f"the prices are in {foreign[0]} and the case is in {own}"
        asked.append(f"{what}: ask the dealer for a list in {own}, or change the case")
    doubts = [text for one in placed if (text := question_of(one.line) or _refusal(case, one))]
    doubts += [text for one in placed if (text := _surprise(case, one))]
    if any("can be read" in text for text in doubts):
        asked.append('which decimal mark: write decimal = "," or decimal = "." into a mapping file')
    return [*asked, *doubts]


def _price(one: Choice) -> float | None:
    return one.line.readings[0] if len(one.line.readings) == 1 else None


def _refusal(case: Case, one: Choice) -> str:
    """Why the case cannot take a price, or ''."""
    price = _price(one)
    try:
        _with_prices(case, {} if price is None else {one.option: price})
    except ValidationError as error:
        row = f"row {one.line.row}, {excerpt(one.line.label)}"
        fault = faults_of(error, Option, lambda _: row)[0]
        return str(fault).removesuffix(".")
    return ""


def _surprise(case: Case, one: Choice) -> str:
    """What is asked about a price that lies far from the one in the case, or ''."""
    price, before = _price(one), _before(case, one.option)
    if price is None or before == 0 or one.how == "mapping" or _no_question(price, before):
        return ""
    told = f"{numeral(price)} where the case has {numeral(before)}"
    where = f"row {one.line.row}, {excerpt(one.line.label)}"
    return f"{where}: {told}: name the line in a mapping file if that is meant"


def _no_question(price: float, before: float) -> bool:
    return before / FAR <= price <= before * FAR


def _foreign(case: Case, codes: tuple[str, ...]) -> bool:
    return case.machine.currency not in codes


def _before(case: Case, option: str) -> float:
    return case.machine.base_price if option == MACHINE else case.catalogue.by_id[option].price


def _placed_line(case: Case, one: Choice) -> PlacedLine:
    return PlacedLine(
        row=one.line.row,
        text=excerpt(one.line.label, 200),
        option=one.option,
        how=one.how or "likeness",
        before=_before(case, one.option),
        after=_price(one),
    )


def _other(one: Choice) -> OtherLine:
    text, price = excerpt(one.line.label, 200), excerpt(one.line.written, 60)
    return OtherLine(row=one.line.row, text=text, price=price, why=one.why)


def _mapping_so_far(
    found: Sequence[Choice], columns: Columns, before: QuoteMapping, *, asked: Sequence[Choice]
) -> QuoteMapping:
    """What of the proposal needs no answer any more; the decimal mark is left out."""
    sure = [one for one in found if one.how in SURE and one not in asked]
    pieces = any(one.line.pieces for one in found if one.how in SURE)
    places = {"name": columns.name, "price": None if pieces else columns.price}
    titles = columns.titles or {}
    named = {
        kind: name_of(place, titles)
        for kind, place in {**places, "code": columns.code}.items()
        if place is not None and place in titles
    }
    lines = {excerpt(one.line.label, 200): one.option for one in sure}
    skipped = {text: option for text, option in before.lines.items() if option == SKIP}
    return QuoteMapping("", named, {**lines, **skipped})


def _guesses(found: Sequence[Choice], asked: Sequence[Choice]) -> dict[str, str]:
    open_ones = [one for one in found if (one.how not in SURE and not one.left_out) or one in asked]
    return {excerpt(one.line.label, 200): one.option for one in open_ones if one.line.label}


def with_quote(case: Case, answer: Quoted, *, quoted: date | None = None) -> Case:
    """The case with the prices of a quote; what options list for later stays as it was.

    Parameters
    ----------
    case
        The case that the quote was proposed for.
    answer
        What was accepted; without questions.
    quoted
        The day of the quote, noted with the prices in a case that says where its figures are from.
    """
    priced = _with_prices(case, answer.changes)
    if case.sources is None:
        return priced
    keys = [price_key(one.option) for one in answer.placed if one.after is not None]
    return all_recorded(priced, keys, source="quoted", who=answer.file, day=quoted)


def price_key(option: str) -> str:
    """The key of a price among the figures of a case.

    Parameters
    ----------
    option
        Id of the option, or `base_price`.
    """
    return f"machine/{MACHINE}" if option == MACHINE else f"option/{option}/price"


def _with_prices(case: Case, prices: Mapping[str, float]) -> Case:
    options = tuple(
        one.priced(prices[one.option]) if one.option in prices else one
        for one in case.catalogue.options
    )
    machine = case.machine.model_copy(
        update={"base_price": prices.get(MACHINE, case.machine.base_price)}
    )
    return case.model_copy(update={"catalogue": Catalogue(options=options), "machine": machine})
