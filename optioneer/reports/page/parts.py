"""What a page is made of, whatever shows it: headings, sentences, entries, tables."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Heading:
    """The title of a page."""

    text: str
    aside: str = ""


@dataclass(frozen=True)
class Paragraph:
    """One or more sentences; `strong` for those to read first."""

    text: str
    strong: bool = False


@dataclass(frozen=True)
class Bullets:
    """Sentences of one kind under a title."""

    title: str
    sentences: tuple[str, ...]


@dataclass(frozen=True)
class PageEntry:
    """A thing with its figures on one line and a sentence below."""

    name: str
    figures: tuple[str, ...]
    sentence: str


@dataclass(frozen=True)
class Entries:
    """Entries of one kind; `heads` name the figures; `foot` closes the group."""

    title: str
    heads: tuple[str, ...]
    entries: tuple[PageEntry, ...]
    foot: str = ""


@dataclass(frozen=True)
class Table:
    """A table; the first column names the rows, the last may hold text when `text_last`.

    Each row has as many cells as `heads`.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    text_last: bool = False
    note: str = ""


@dataclass(frozen=True)
class Section:
    """The title of a part of a longer paper; `fresh` begins a new sheet."""

    text: str
    fresh: bool = False


@dataclass(frozen=True)
class Picture:
    """A chart as SVG, with what it shows in words for those who do not see it."""

    title: str
    svg: str
    told: str


Part = Heading | Section | Paragraph | Bullets | Entries | Table | Picture
Page = tuple[Part, ...]


def bullets_of(title: str, sentences: Iterable[object]) -> tuple[Bullets, ...]:
    """The sentences under a title; nothing where there are none."""
    found = tuple(map(str, sentences))
    return (Bullets(title, found),) if found else ()


def counted(count: int, noun: str) -> str:
    """A count with its noun, in the plural where due."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
