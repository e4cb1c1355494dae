"""Amounts and shares as people type them: 1,200.50 and 1.200,50; 25 %, 0,25, a third."""

import re
from fractions import Fraction

from optioneer.errors import RequestError
from optioneer.files.quote.amounts import doubt, readings_left, readings_of

WORDS: dict[str, Fraction] = {
    "none": Fraction(0),
    "a tenth": Fraction(1, 10),
    "a fifth": Fraction(1, 5),
    "a quarter": Fraction(1, 4),
    "a third": Fraction(1, 3),
    "a half": Fraction(1, 2),
    "half": Fraction(1, 2),
    "two thirds": Fraction(2, 3),
    "three quarters": Fraction(3, 4),
    "all": Fraction(1),
}
"""Shares in words."""

_PERCENT = re.compile(r"\s*(?:%|percent|per cent)\s*$", re.IGNORECASE)
_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?")


def amount_typed(text: str) -> float:
    """An amount, however its thousands and decimals are marked.

    Raises
    ------
    RequestError
        It is none, or could be two.

    Examples
    --------
    >>> amount_typed("1.200,50"), amount_typed("1,200.50 EUR"), amount_typed("900")
    (1200.5, 1200.5, 900.0)
    """
    found = readings_left(text, "")
    if len(found) == 1:
        return found[0]
    if not found or not readings_of(text).readings:
        raise RequestError(f"'{text.strip()}' is no amount. Write digits, e.g. 1,200.50.")
    raise RequestError(f"{doubt(text, found)}. Write it with two decimals.")


def share_typed(text: str) -> str:
    """A share as the files write it; what is no share comes back as it is, to be told a fault.

    A plain number above 1 counts as percents: nobody means 25 times the whole.

    Examples
    --------
    >>> [share_typed(text) for text in ("25 %", "0,25", "25", "0.25", "25 percent")]
    ['0.25', '0.25', '0.25', '0.25', '0.25']
    >>> share_typed("a third"), share_typed("1"), share_typed("some"), share_typed("-25 %")
    ('0.333333', '1', 'some', '-0.25')
    """
    words = " ".join(text.lower().split())
    if words in WORDS:
        return _plain(float(WORDS[words]))
    percent = _PERCENT.search(text) is not None
    digits = _PERCENT.sub("", text).strip()
    if not _NUMBER.fullmatch(digits):
        return text
    value = float(digits.replace(",", "."))
    if percent or abs(value) > 1:
        return _plain(value / 100)
    return _plain(value) if "," in digits else text.strip()


def _plain(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")
