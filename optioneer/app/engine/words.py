"""The words of the app that are not a page's own, and text that is shown as it is."""

import html
import re

TITLE = "Optioneer"
PAGES = {
    "answer": "What to order",
    "questions": "What to find out",
    "case": "The case",
    "buyer": "For the buyer",
    "owner": "For the owner",
    "bookkeeper": "For the bookkeeper",
    "first-chips": "To first chips",
    "decide": "Decide and hand on",
}
"""Pages by the word in the address."""

COMMANDS = {
    "new": "start",
    "start": "start",
    "check": "case",
    "advise": "answer",
    "value": "buyer",
    "compare": "buyer",
    "request": "buyer",
    "take-in": "buyer",
    "bargain": "buyer",
    "ask": "questions",
    "whatif": "owner",
    "turning": "owner",
    "sensitivity": "owner",
    "batch": "owner",  # one set of changes at a time
    "cash": "bookkeeper",
    "account": "bookkeeper",
    "bank": "bookkeeper",
    "ready": "first-chips",
    "workbook": "decide",
    "report": "decide",
    "wait": "decide",  # in the report and, once a year, in the calendar
    "calendar": "decide",
    "decide": "decide",
    "history": "decide",
    "paid": "decide",
    "fitted": "decide",
    "arrived": "decide",
    "withdraw": "decide",
    "app": "start",
}
"""Which page answers what each command answers; `start` is what is seen before a case is open."""

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

_MARKS = re.compile(
    r"""([\\`*_\[\]<>$~|&@{}#^]   # emphasis, code, links, tags, sums, tables, entities
    |:(?=\w)                     # directives, icons
    |^[-+](?=\s|-|$))            # lists and rules
    """,
    re.VERBOSE | re.IGNORECASE,
)
"""What could mean something in markdown, and no more: labels are also read aloud, marks and all."""

_ADDRESS = re.compile(
    r"""(?<=https:)(?=//)|(?<=http:)(?=//)   # of a page
    |(?<=www)(?=\.)                          # of one without its scheme
    |(?<=\S)(?=@\S)                          # of a person
    """,
    re.VERBOSE | re.IGNORECASE,
)
"""Where an address is told from other text.

The page looks for addresses once more after marks are read, where no mark keeps it from making
links of them; a name may not lead anybody anywhere.
"""

_JOINER = "\u2060"
"""Word joiner: no width, no break, no address."""

_NUMBERED = re.compile(r"^(\d+)([.)])")
"""What could begin a numbered list."""


def literal(text: str) -> str:
    r"""Text for a markdown widget that is shown as it is: no mark in it means anything.

    Examples
    --------
    >>> literal("Ten pallets (invented), 41,000.50: 20 % of it")
    'Ten pallets (invented), 41,000.50: 20 % of it'
    >>> literal(":red[a] *b* -> 1")
    '\\:red\\[a\\] \\*b\\* -\\> 1'
    >>> ascii(literal("https://c.d"))
    "'https:\\u2060//c.d'"
    >>> literal("3. one")
    '3\\. one'
    """
    apart = _ADDRESS.sub(_JOINER, " ".join(text.split()))
    return _NUMBERED.sub(r"\1\\\2", _MARKS.sub(r"\\\1", apart))


def escaped(text: str) -> str:
    """Text for HTML that is shown as it is."""
    return html.escape(text, quote=True)
