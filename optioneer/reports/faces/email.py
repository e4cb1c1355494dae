"""A page as plain text for an e-mail: short lines, no drawing characters."""

from collections.abc import Iterator
from textwrap import wrap

from optioneer.reports.page.parts import (
    Bullets,
    Entries,
    Heading,
    Page,
    Paragraph,
    Part,
    Picture,
    Section,
    Table,
)
from optioneer.reports.page.printable import printable

WIDTH = 72
"""Longest line [characters]: RFC 5322 asks for no more than 78."""


def email_text(page: Page) -> str:
    """`page` as lines of at most `WIDTH` characters; only a longer word stands alone on a line.

    References
    ----------
    RFC 5322, Internet Message Format (2008), section 2.1.1.
    """
    blocks = ["\n".join(_lines(part)) for part in page]
    return "\n\n".join(block for block in blocks if block) + "\n"


def _lines(part: Part) -> Iterator[str]:
    match part:
        case Heading():
            yield from _mail_lines(part.text)
            yield from _mail_lines(part.aside)
        case Section():
            yield from _mail_lines(part.text.upper())
        case Paragraph():
            yield from _mail_lines(part.text)
        case Bullets():
            yield from _mail_lines(part.title)
            for sentence in part.sentences:
                yield from _item(sentence)
        case Entries():
            yield from _mail_lines(part.title)
            for entry in part.entries:
                yield from _item(f"{entry.name}: {', '.join(entry.figures)}. {entry.sentence}")
        case Table():
            yield from _table(part)
        case Picture():
            yield from _mail_lines(f"{part.title}: {part.told}")


def _table(part: Table) -> Iterator[str]:
    yield from _mail_lines(part.title)
    for first, *others in part.rows:
        told = "; ".join(cell for cell in others if cell)
        yield from _item(f"{first}: {told}" if told else first)
    yield from _mail_lines(part.note)


def _item(text: str) -> Iterator[str]:
    yield from wrap(_plain(text), WIDTH, initial_indent="  - ", subsequent_indent="    ")


def _mail_lines(text: str) -> Iterator[str]:
    yield from wrap(_plain(text), WIDTH)


def _plain(text: str) -> str:
    return " ".join(printable(text.replace("\n", " ")).split())
