"""Which option each line of a dealer's list means, and how surely."""

import difflib
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from optioneer.files.plain.numerals import excerpt
from optioneer.files.quote.amounts import INCLUDED, doubt, readings_left
from optioneer.files.quote.columns import Columns, cell, normal, says_sum
from optioneer.files.quote.mapping import MACHINE, SKIP, QuoteMapping
from optioneer.files.quote.table import QuoteRow
from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.fact import LARGEST_AMOUNT
from optioneer.study.dealer.quote_lines import How

LIKE, LEAD = 0.72, 0.08
"""How like two names must be for a guess, and how much more than the next one."""

LONGEST = 100
"""So much of a name is compared letter by letter [characters]."""

_BARE = re.compile(
    r"\b(base|basic|bare|standard) machine\b|\bgrundmaschine\b|\bbasismaschine\b|"
    r"\bmachine (de )?base\b|\bmaquina base\b|\bmacchina base\b"
)


@dataclass(frozen=True)
class QuoteLine:
    """One line of the list.

    Parameters
    ----------
    row
        As a spreadsheet counts it.
    price
        The cell of its price.
    readings
        The amounts that the price can be.
    pieces
        The cell of its quantity where the price may be that of one or of all; '' where it is clear.
    """

    row: int
    text: str
    code: str
    price: str | float
    readings: tuple[float, ...]
    pieces: str = ""

    @property
    def written(self) -> str:
        """Its price as written."""
        return f"{self.price:.15g}" if isinstance(self.price, float) else self.price

    @property
    def included(self) -> bool:
        """Whether it says that there is no price of its own."""
        return isinstance(self.price, str) and INCLUDED.fullmatch(self.price) is not None

    @property
    def label(self) -> str:
        """What the mapping file calls it."""
        return self.text or self.code


def lines_of(
    rows: Sequence[QuoteRow], columns: Columns, decimal: str, *, told: bool = False
) -> tuple[QuoteLine, ...]:
    """The lines below the headings.

    Parameters
    ----------
    decimal
        Decimal mark of its prices, or ''.
    told
        Whether a person has told it.
    """
    return tuple(
        QuoteLine(
            row=row.number,
            text=_text(cell(row, columns.name)),
            code=_text(cell(row, columns.code)),
            price=cell(row, columns.price),
            readings=readings_left(cell(row, columns.price), decimal, told=told),
            pieces="" if columns.told else _pieces(_text(cell(row, columns.quantity))),
        )
        for row in rows
        if row.number > columns.heading
    )


def _text(found: str | float) -> str:
    return f"{found:.15g}" if isinstance(found, float) else " ".join(found.split())


def _pieces(written: str) -> str:
    """How many a line is of, as written; '' where it is of one."""
    number = re.search(r"[0-9]+(?:[.,][0-9]+)?", written)
    one = number is None or float(number[0].replace(",", ".")) == 1.0
    return "" if one else written


@dataclass(frozen=True)
class Choice:
    """What a line means.

    Parameters
    ----------
    option
        Id of the option, `base_price`, or '' for none.
    how
        By what it was given to the option; none where it was not.
    left_out
        Whether it is no line of an option at all: a heading, a sum, one to skip.
    """

    line: QuoteLine
    option: str = ""
    how: How | None = None
    why: str = ""
    left_out: bool = False


def choices(lines: Sequence[QuoteLine], case: Case, mapping: QuoteMapping) -> tuple[Choice, ...]:
    """What each line means; an option that several lines mean is given to none of them."""
    found = list(_choices(lines, case, mapping))
    taken = {one.option for one in found if one.option}
    free = [option for option in case.catalogue.options if option.option not in taken]
    found = [_likely(one, free) if not one.option and not one.left_out else one for one in found]
    counts = Counter(one.option for one in found if one.option)
    return tuple(_alone(one, counts, found) for one in found)


def _alone(one: Choice, counts: Counter[str], found: Sequence[Choice]) -> Choice:
    if not one.option or counts[one.option] == 1:
        return one
    rows = ", ".join(str(other.line.row) for other in found if other.option == one.option)
    return Choice(one.line, why=f"rows {rows} all mean '{one.option}': skip all but one")


def _choices(lines: Sequence[QuoteLine], case: Case, mapping: QuoteMapping) -> Iterator[Choice]:
    told = {normal(text): option for text, option in mapping.lines.items()}
    since, count = 0.0, 0
    for line in lines:
        choice = _usable(_sure(line, case, told))
        amount = line.readings[0] if len(line.readings) == 1 else None
        if not choice.option and not choice.left_out and not choice.why:
            many = count > 1 and amount is not None and abs(amount - since) < 0.005  # noqa: PLR2004 - half a cent
            choice = _no_option(line, sums=many) or choice
        if choice.left_out and _is_sum(line):
            since, count = 0.0, 0
        elif amount is not None:
            since, count = since + amount, count + 1
        yield choice


def _usable(choice: Choice) -> Choice:
    """The same, unless its price can be none and no person has given the line to an option."""
    wrong = _no_price(choice.line)
    if not choice.option or choice.how == "mapping" or not wrong:
        return choice
    return Choice(choice.line, why=wrong)


def _no_price(line: QuoteLine) -> str:
    """Why an amount is no price of an option, or ''."""
    if line.readings and max(line.readings) < 0:
        return "below zero: enter a discount as a bundle, a credit as delete_credit"
    if line.readings and min(line.readings) >= LARGEST_AMOUNT:
        return f"a price is below {LARGEST_AMOUNT:,.0f}"
    return ""


def _sure(line: QuoteLine, case: Case, told: dict[str, str]) -> Choice:
    """What a line means beyond doubt."""
    known = case.catalogue.by_id
    for key in (normal(line.text), normal(excerpt(line.label, 200)), normal(line.code)):
        if key and key in told:
            if told[key] == SKIP:
                return Choice(line, why="left out by the mapping", left_out=True)
            return Choice(line, told[key], "mapping")
    for text in (line.code, line.text):
        if text.casefold() in known:
            return Choice(line, text.casefold(), "id")
    name = normal(line.text)
    named = [option.option for option in known.values() if normal(option.name) == name]
    if len(named) == 1:
        return Choice(line, named[0], "name")
    if name and (name == normal(case.machine.name) or _BARE.search(name)):
        return Choice(line, MACHINE, "name")
    return Choice(line)


def _no_option(line: QuoteLine, *, sums: bool) -> Choice | None:
    """A line that is no option, or none."""
    if _is_sum(line):
        return Choice(line, why="a sum or a tax", left_out=True)
    if sums:
        return Choice(line, why="as much as the lines above add up to", left_out=True)
    if line.price == "":
        return Choice(line, why="no price", left_out=True)
    wrong = _no_price(line)
    return Choice(line, why=wrong) if wrong else None


def _is_sum(line: QuoteLine) -> bool:
    return says_sum(line.text if normal(line.text) else line.code)


def _likely(one: Choice, free: Sequence[Option]) -> Choice:
    """The same with a guess by likeness of names, or by a price that only one option has."""
    line = one.line
    if one.why:
        return one
    name = normal(line.text)
    ranked = sorted(((_likeness(name, option), option) for option in free), key=lambda p: -p[0])
    if ranked and ranked[0][0] >= LIKE:
        second = ranked[1][0] if len(ranked) > 1 else 0.0
        if ranked[0][0] - second >= LEAD:
            return Choice(line, ranked[0][1].option, "likeness")
    priced = [option for option in free if option.price > 0 and line.readings == (option.price,)]
    if len(priced) == 1:
        return Choice(line, priced[0].option, "price")
    near = [excerpt(option.option) for score, option in ranked[:2] if score > LIKE / 2]
    hint = f"; nearest: {', '.join(near)}" if near else ""
    return Choice(line, why=f"no option of the case has this name{hint}")


def _likeness(name: str, option: Option) -> float:
    """How like a text is to an option's name or id, 0..1: letters in order, or words in common."""
    best = 0.0
    for other in (normal(option.name), normal(option.option)):
        words, others = set(name.split()), set(other.split())
        common = 2 * len(words & others) / max(1, len(words) + len(others))
        if words and others and (others <= words or words <= others) and len(words & others) > 1:
            common = max(common, 0.9)
        letters = difflib.SequenceMatcher(None, name[:LONGEST], other[:LONGEST])
        if letters.real_quick_ratio() >= LIKE and letters.quick_ratio() >= LIKE:
            common = max(common, letters.ratio())
        best = max(best, common)
    return best


def question_of(line: QuoteLine) -> str:
    """What is asked about the price of a line that is placed; '' when it is clear."""
    where = f"row {line.row}, {excerpt(line.label)}"
    if line.included:
        return ""
    if not line.readings:
        return f"{where}: '{excerpt(line.written)}' is no price"
    if len(line.readings) > 1:
        return f"{where}: {doubt(line.price, line.readings)}"
    if line.pieces:
        pieces, written = excerpt(line.pieces, 20), excerpt(line.written)
        what = f"{pieces} pieces: is {written} the price of all of them"
        return f"{where}: {what}? Then name the column of prices in a mapping file"
    return ""
