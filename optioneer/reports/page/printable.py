"""Text without what could steer whatever shows it."""

import re
import unicodedata

UNPRINTABLE = {"Cc", "Cf", "Cs", "Co", "Cn"}
"""Unicode categories that could move the cursor, hide or reorder text."""

LONGEST = 60
"""Characters of a text inside a message."""


def printable(text: str) -> str:
    """`text` without characters that could steer a terminal or a page; line ends stay."""
    if text.isprintable():  # none of those categories, and by far the most texts
        return text
    return "".join(
        letter
        for letter in text
        if letter == "\n" or unicodedata.category(letter) not in UNPRINTABLE
    )


def one_line(text: str) -> str:
    """A text that may come from anywhere, on one line and at most `LONGEST` long, for a message."""
    line = " ".join(printable(text).split())
    return line if len(line) <= LONGEST else f"{line[:LONGEST]}..."


_ALWAYS = frozenset("=@\uff1d\uff20")
_SIGNS = frozenset("+-\uff0b\uff0d")
_ACTS = re.compile(r"[|!]|\w\(")


def inert_cell(text: str) -> str:
    """`text` as a cell that stays text when somebody copies the table into a spreadsheet.

    Notes
    -----
    Text that a spreadsheet would run gets a leading apostrophe; signed figures stay as they are.

    References
    ----------
    OWASP Application Security Verification Standard 4.0.3, requirement 5.3.10 (CSV and formula
    injection); the list of first characters there.

    Examples
    --------
    >>> inert_cell("=1+1"), inert_cell("-2+cmd|' /C calc'!A0"), inert_cell("-$900")
    ("'=1+1", "'-2+cmd|' /C calc'!A0", '-$900')
    """
    start = text.lstrip()[:1]
    runs = start in _ALWAYS or (start in _SIGNS and _ACTS.search(text) is not None)
    return f"'{text}" if start and runs else text
