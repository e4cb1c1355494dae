r"""Numbers in table cells, read only when there is one way to read them.

The rule, which never guesses:

1. A number is digits with at most one decimal mark: ``1234``, ``1234.5``, ``-0.25``. No thousands
   separators, no exponent, no percent or currency sign, no words.
2. The decimal mark is a point. In a file separated by semicolons, tabs or bars, as spreadsheets
   write it where the comma is the decimal mark, it may also be a comma: ``1234,5``.
3. What can be read with a factor of a thousand between is refused: one to three digits that do not
   begin with 0, a mark, exactly three digits (``4.200``, ``12,500``). This holds for amounts of
   money in tables and for every number in files not separated by commas. Elsewhere the point is
   the decimal mark (``2.125`` is a fine multiplier). In TOML, where it always is, an amount of
   money is refused only when the third of its decimals is a 0 that nobody would write.
"""

import math
import re
import unicodedata
from decimal import Decimal

from optioneer.errors import Fault

_PLAIN = re.compile(r"[+-]?[0-9]{1,400}(?:[.,][0-9]{1,400})?")
_THOUSANDFOLD = re.compile(r"[+-]?[1-9][0-9]{0,2}[.,][0-9]{3}")
_GROUPED = re.compile(r"[+-]?[0-9]{1,3}(?:[.,'_\s\u2019][0-9]{3})+(?:[.,][0-9]+)?")
_EXPONENT = re.compile(r"[+-]?[0-9.,]+[eE][+-]?[0-9]+")
_CODE = re.compile(r"^[A-Z]{3}\s?[0-9]|[0-9]\s?[A-Z]{3}$")


def number(text: str, where: str, *, comma: bool = False, money: bool = False) -> float | Fault:
    """The number in a cell, or what is wrong with it; the module says by which rule.

    Parameters
    ----------
    where
        File, row and column, for the fault.
    comma
        Whether the file may use a decimal comma (it is separated by semicolons or tabs).
    money
        Whether the cell is an amount of money.

    Examples
    --------
    >>> number("1234.50", "price")
    1234.5
    >>> number("1234,50", "price", comma=True)
    1234.5
    >>> print(number("4.200", "price", money=True))
    price: '4.200' can be read as 4200 or as 4.2. Write 4200 or 4.20.
    """
    text = text.strip()
    refusal = _refusal(text, comma=comma, money=money)
    if refusal is None:
        return float(text.replace(",", "."))
    what, allowed = refusal
    return Fault(where, f"'{excerpt(text)}' {what}", allowed)


def thousandfold(text: str) -> bool:
    """Whether a number can also be read as a thousand times as much, such as ``4.200``."""
    return _THOUSANDFOLD.fullmatch(text) is not None


def two_readings(text: str) -> tuple[str, str]:
    """What is wrong with a number that is `thousandfold`, and what to write."""
    whole, part = re.split(r"[.,]", text)
    small = f"{whole}.{part}".rstrip("0").rstrip(".")
    plain = f"{whole}.{part[:2]}" if part.endswith("0") else f"{whole}.{part}0"
    return f"can be read as {whole}{part} or as {small}", f"Write {whole}{part} or {plain}."


def numeral(value: float, mark: str = ".") -> str:
    """The shortest plain text that `number` reads back as exactly `value`.

    Examples
    --------
    >>> numeral(1200.0), numeral(0.25), numeral(4.125), numeral(1e-7, ",")
    ('1200', '0.25', '4.1250', '0,0000001')
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} is no number of a case")
    text = format(Decimal(repr(float(value))), "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return (text + "0" if thousandfold(text) else text).replace(".", mark)


def excerpt(text: str, most: int = 60) -> str:
    """A text from a file, printable and at most so many characters long, for a message."""
    printable = "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text[:most])
    return printable if len(text) <= most else printable + "..."


def _refusal(text: str, *, comma: bool, money: bool) -> tuple[str, str] | None:
    """What is wrong with the text as a number and what to write, or None."""
    if _PLAIN.fullmatch(text) and ("," not in text or comma):
        return two_readings(text) if thousandfold(text) and (comma or money) else None
    return _why_refused(text)


def _why_refused(text: str) -> tuple[str, str]:
    if thousandfold(text):
        return two_readings(text)
    if _PLAIN.fullmatch(text):
        return "has a decimal comma", f"Write {text.replace(',', '.')}."
    if _GROUPED.fullmatch(text):
        return "has thousands separators", f"Write {_without_separators(text)}."
    return _foreign(text)


def _foreign(text: str) -> tuple[str, str]:
    """What is wrong with a text that holds more than digits and marks."""
    if "%" in text:
        return "has a percent sign", "Write the fraction: 0.2 for 20 %."
    if _CODE.search(text) or any(unicodedata.category(character) == "Sc" for character in text):
        return "has a currency sign", "Write the number alone; machine.toml names the currency."
    if _EXPONENT.fullmatch(text):
        return "is written with an exponent", "Write it in full: 1200, not 1.2E3."
    return "is not a number", "Write plain digits with a point for decimals: 1234.50."


def _without_separators(text: str) -> str:
    """A grouped number without its separators; a last mark of another kind is the decimal one."""
    marks = re.findall(r"[^0-9+-]", text)
    digits = re.sub(r"[^0-9+-]", "", text)
    if len(marks) > 1 and marks[-1] != marks[0]:
        decimals = len(re.split(r"[^0-9+-]", text)[-1])
        return f"{digits[:-decimals]}.{digits[-decimals:]}"
    return digits
