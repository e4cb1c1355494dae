"""The words of the app that are not a page's own, and text that is shown as it is."""

import html
import re

TITLE = "Optioneer"
PAGES = {
    "answer": "What to order",
    "case": "The case",
    "buyer": "For the buyer",
    "owner": "For the owner",
    "bookkeeper": "For the bookkeeper",
    "first-chips": "To first chips",
}
"""Pages by the word in the address."""

SIGNS = {"order now": "\u25cf", "leave for retrofit": "\u25d0", "leave off": "\u25cb"}
"""A shape for each verdict: full, half, empty, so that colour is never needed."""

SAID = {
    "order now": "order now",
    "leave for retrofit": "leave for a retrofit",
    "leave off": "leave off",
}
"""Verdicts as people say them."""

PLANNING = (
    "Planning figures. Get firm quotes before you sign; contract terms, tax, power, air and "
    "rigging are for people licensed for them where you are."
)

_MARKS = re.compile(r"([!-/:-@\[-`{-~])")


def literal(text: str) -> str:
    """Text for a markdown widget that is shown as it is: no mark in it means anything."""
    return _MARKS.sub(r"\\\1", " ".join(text.split()))


def escaped(text: str) -> str:
    """Text for HTML that is shown as it is."""
    return html.escape(text, quote=True)
