"""Text without what could steer whatever shows it."""

import unicodedata

UNPRINTABLE = {"Cc", "Cf", "Cs", "Co", "Cn"}
"""Unicode categories that could move the cursor, hide or reorder text."""


def printable(text: str) -> str:
    """`text` without characters that could steer a terminal or a page; line ends stay."""
    return "".join(
        letter
        for letter in text
        if letter == "\n" or unicodedata.category(letter) not in UNPRINTABLE
    )
