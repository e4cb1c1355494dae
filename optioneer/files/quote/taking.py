"""A dealer's option list taken in: proposed first, never guessed into the case."""

from collections.abc import Sequence
from dataclasses import dataclass

from optioneer.files.plain.numerals import shown
from optioneer.files.quote.amounts import currencies_in, decimal_mark, spelled
from optioneer.files.quote.columns import Columns, cell, columns_of
from optioneer.files.quote.lines import Choice, choices, lines_of, question_of
from optioneer.files.quote.mapping import MACHINE, SKIP, QuoteMapping
from optioneer.files.quote.table import QuoteRow, QuoteTable, quote_table
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.study.dealer.quoted import SURE, OtherLine, PlacedLine, Quoted


@dataclass(frozen=True)
class Proposal:
    """What was made of a list, and the mapping that would repeat it.

    Parameters
    ----------
    answer
        What is shown.
    mapping
        Columns, decimal mark and lines that are settled.
    guesses
        Option by the text of a line that is not settled; '' where there is not even a guess.
    """

    answer: Quoted
    mapping: QuoteMapping
    guesses: dict[str, str]


_NOTHING = QuoteMapping()


def proposal(
    data: bytes, case: Case, *, name: str = "quote", mapping: QuoteMapping = _NOTHING
) -> Proposal:
    """What a dealer's list says of the options of a case.

    Parameters
    ----------
    data
        The bytes of the file, text or ``.xlsx``.
    case
        A checked case.
    name
        What the file is called.
    mapping
        What a person has settled before.

    Raises
    ------
    CaseError
        It is no table that can be read.
    """
    table = quote_table(data, shown(name, 100))
    columns = columns_of(table.rows, mapping)
    below = [row for row in table.rows if row.number > columns.heading]
    decimal = mapping.decimal or decimal_mark([cell(row, columns.price) for row in below])
    told = bool(mapping.decimal)
    lines = lines_of(table.rows, columns, decimal, told=told) if columns.price is not None else ()
    found = choices(lines, case, mapping)
    answer = _answer(case, table, columns, found).model_copy(
        update={"file": shown(name, 100), "decimal": decimal}
    )
    return Proposal(answer, _settled(answer, columns, mapping, decimal), _guesses(found))


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
        placed=tuple(_placed(case, one) for one in placed),
        guessed=tuple(_placed(case, one) for one in guessed),
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
        for codes in (spelled(cell(row, columns.price)).currencies,)
        if codes and columns.price is not None
    }
    title = currencies_in(columns.title(columns.price))
    foreign = sorted(codes[0] for codes in shows | {title} if codes and _foreign(case, codes))
    if foreign:
        own = case.machine.currency
        what = f"the prices are in {foreign[0]} and the case is in {own}"
        asked.append(f"{what}: ask the dealer for a list in {own}, or change the case")
    doubts = [text for one in placed if (text := question_of(one.line))]
    if any("can be read" in text for text in doubts):
        asked.append('which decimal mark: write decimal = "," or decimal = "." into a mapping file')
    return [*asked, *doubts]


def _foreign(case: Case, codes: tuple[str, ...]) -> bool:
    return case.machine.currency not in codes


def _before(case: Case, option: str) -> float:
    return case.machine.base_price if option == MACHINE else case.catalogue.by_id[option].price


def _placed(case: Case, one: Choice) -> PlacedLine:
    price = one.line.readings[0] if len(one.line.readings) == 1 else None
    return PlacedLine(
        row=one.line.row,
        text=shown(one.line.label, 200),
        option=one.option,
        how=one.how or "likeness",
        before=_before(case, one.option),
        after=price,
    )


def _other(one: Choice) -> OtherLine:
    text, price = shown(one.line.label, 200), shown(one.line.written, 60)
    return OtherLine(row=one.line.row, text=text, price=price, why=one.why)


def _settled(answer: Quoted, columns: Columns, before: QuoteMapping, decimal: str) -> QuoteMapping:
    places = {"name": columns.name, "price": columns.price, "code": columns.code}
    titles = columns.titles or {}
    named = {
        kind: titles[place]
        for kind, place in places.items()
        if place is not None and place in titles
    }
    lines = {one.text: one.option for one in answer.placed}
    skipped = {text: option for text, option in before.lines.items() if option == SKIP}
    return QuoteMapping(decimal, named, {**lines, **skipped})


def _guesses(found: Sequence[Choice]) -> dict[str, str]:
    open_ones = [one for one in found if one.how not in SURE and not one.left_out]
    return {shown(one.line.label, 200): one.option for one in open_ones if one.line.label}


def with_quote(case: Case, answer: Quoted) -> Case:
    """The case with the prices of a quote; what options list for later stays as it was.

    Parameters
    ----------
    case
        The case that the quote was proposed for.
    answer
        What was accepted; without questions.
    """
    prices = answer.changes
    options = tuple(
        one.priced(prices[one.option]) if one.option in prices else one
        for one in case.catalogue.options
    )
    machine = case.machine.model_copy(
        update={"base_price": prices.get(MACHINE, case.machine.base_price)}
    )
    return case.model_copy(update={"catalogue": Catalogue(options=options), "machine": machine})
