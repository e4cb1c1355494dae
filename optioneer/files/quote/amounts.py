"""Prices of a quote: one that can be read in two ways is settled by the others, or asked."""

import math
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from optioneer.files.plain.numerals import numeral

INCLUDED = re.compile(
    r"(incl(uded|\.)?|inkl(usive|\.)?|inclus|compris|std\.?|standard|serie|n/?c|no charge|-+)",
    re.IGNORECASE,
)
"""What stands in the place of a price where there is none."""

CODES = (
    *("EUR", "USD", "GBP", "CHF", "SEK", "NOK", "DKK", "PLN", "CZK", "HUF", "JPY", "CNY"),
    *("CAD", "AUD", "NZD", "INR", "KRW", "MXN", "BRL", "SGD", "TRY", "ZAR", "TWD"),
)
SIGNS = {
    "\u20ac": ("EUR",),
    "$": ("USD", "CAD", "AUD", "NZD", "MXN", "SGD", "TWD"),
    "\u00a3": ("GBP",),
    "\u00a5": ("JPY", "CNY"),
    "\u20b9": ("INR",),
    "\u20a9": ("KRW",),
}
_CODE = re.compile(rf"(?<![A-Za-z])({'|'.join(CODES)}|Fr\.|SFr\.|kr\.?)(?![A-Za-z])")
_DIGITS = re.compile(r"[0-9]+(?:[.,][0-9]+)*")
_DASHES = re.compile(r"([.,])\s?[-\u2013\u2014]{1,2}$")
_DECIMALS, _GROUP = 2, 3
"""Decimals of a price at most, and digits of a group between thousands marks."""

_GROUPS = re.compile(r"[1-9][0-9]{0,2}([.,])[0-9]{3}(?:\1[0-9]{3})*")


@dataclass(frozen=True)
class Spelled:
    """A price as written.

    Parameters
    ----------
    readings
        The amounts it can be read as; none: it is no price.
    decimal
        The decimal mark that it shows beyond doubt, or ''.
    currencies
        ISO codes of the currency it shows; none where it shows none.
    """

    readings: tuple[float, ...]
    decimal: str = ""
    currencies: tuple[str, ...] = ()


def readings_of(cell: str | float) -> Spelled:
    """What a cell can be read as.

    Examples
    --------
    >>> spelled("4.200").readings, spelled("EUR 1.234,50").readings, spelled("4'200.-").readings
    ((4200.0, 4.2), (1234.5,), (4200.0,))
    """
    if isinstance(cell, float):
        return Spelled((cell,) if math.isfinite(cell) else ())
    currencies = currencies_in(cell)
    text = _CODE.sub("", unicodedata.normalize("NFKC", cell))
    text = "".join(c for c in text if unicodedata.category(c) != "Sc").strip()
    text, sign = _amount_without_sign(text)
    spaced = re.fullmatch(r"[0-9]{1,3}(?:[ '\u2019][0-9]{3})+(?:[.,][0-9]+)?", text) is not None
    text = re.sub(r"[ '\u2019]", "", text) if spaced else text
    if not _DIGITS.fullmatch(text):
        return Spelled((), currencies=currencies)
    found, decimal = _readings(text, spaced=spaced)
    amounts = tuple(sign * float(one) for one in found)
    return Spelled(tuple(one for one in amounts if math.isfinite(one)), decimal, currencies)


def currencies_in(text: str) -> tuple[str, ...]:
    """ISO codes that a currency sign or code in a text may mean."""
    code = _CODE.search(text)
    if code is not None:
        return {"Fr.": ("CHF",), "SFr.": ("CHF",)}.get(
            code[1], ("SEK", "NOK", "DKK") if code[1].startswith("kr") else (code[1],)
        )
    return next((codes for sign, codes in SIGNS.items() if sign in text), ())


def _amount_without_sign(text: str) -> tuple[str, float]:
    """The text without its sign and with zeros for the dashes that stand for no cents."""
    text = _DASHES.sub(r"\g<1>00", text)
    negative = text.startswith(("-", "\u2212", "\u2013")) or text.endswith(("-", "\u2212"))
    bracketed = text.startswith("(") and text.endswith(")")
    return text.strip(" -\u2212\u2013+()"), -1.0 if negative or bracketed else 1.0


def _readings(text: str, *, spaced: bool) -> tuple[tuple[Decimal, ...], str]:
    """The amounts that digits with points and commas may be, and the sure decimal mark."""
    marks = [character for character in text if character in ".,"]
    if not marks:
        return (Decimal(text),), ""
    last = marks[-1]
    if len(set(marks)) > 1:
        grouped = text.rpartition(last)[0]
        if last in grouped or not _GROUPS.fullmatch(grouped):
            return (), ""
        return (Decimal(re.sub(r"[.,]", "", grouped) + "." + text.rpartition(last)[2]),), last
    if len(marks) > 1:
        other = "." if last == "," else ","
        whole = _GROUPS.fullmatch(text) is not None
        return ((Decimal(text.replace(last, "")),), other) if whole else ((), "")
    small = Decimal(text.replace(",", "."))
    before, _, decimals = text.partition(last)
    many = len(decimals) > _DECIMALS and not before.startswith("0")
    if many and not spaced and (_GROUPS.fullmatch(text) or len(decimals) > _GROUP):
        return (Decimal(text.replace(last, "")), small), ""
    return (small,), last


def decimal_mark(cells: Iterable[str | float]) -> str:
    """The decimal mark that the prices of a list agree on; '' when they show none or both."""
    shown = {readings_of(cell).decimal for cell in cells} - {""}
    return shown.pop() if len(shown) == 1 else ""


def readings_left(cell: str | float, decimal: str, *, told: bool = False) -> tuple[float, ...]:
    """The readings that are left when the decimal mark is known.

    A decimal mark with three or more digits behind it stays in doubt unless a person has told the
    mark: prices have no mills, and some group their digits by four.

    Examples
    --------
    >>> settled("4.200", ","), settled("4.200", "."), settled("4.200", "")
    ((4200.0,), (4200.0, 4.2), (4200.0, 4.2))
    """
    found = readings_of(cell)
    if len(found.readings) > 1 and decimal and decimal not in str(cell):
        return found.readings[:1]
    if len(found.readings) > 1 and told:
        return found.readings[1:]
    return found.readings


def doubt(cell: str | float, readings: tuple[float, ...]) -> str:
    """What is asked about a price that can be read in several ways."""
    ways = " or as ".join(numeral(one) for one in readings)
    return f"'{cell}' can be read as {ways}"
