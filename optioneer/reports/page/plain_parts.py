"""Parts of a page as plain data for the templates of papers, every text made printable."""

from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from optioneer.reports.page.parts import Entries, Page, Part, Picture, Section, Table
from optioneer.reports.page.printable import inert_cell, printable
from optioneer.reports.page.vector import inert_svg

PlainPart = dict[str, Any]


def plain_parts(page: Page, *, font: str = "sans-serif") -> list[PlainPart]:
    """One dictionary a part: its ``kind``, its fields and the ``level`` of its title.

    Drawings are made inert. No level of headings is left out, as readers by ear need it.

    Parameters
    ----------
    font
        Family of the text inside drawings.
    """
    parts = [_part(part, f"p{number}-", font) for number, part in enumerate(page)]
    sections = [number for number, part in enumerate(page) if isinstance(part, Section)]
    first = sections[0] if sections else len(parts)
    for number, part in enumerate(parts):
        part["level"] = 2 if number < first else 3
    return parts


def _part(part: Part, prefix: str, font: str) -> PlainPart:
    plain = {"kind": type(part).__name__.lower(), **_plain(part)}
    if isinstance(part, Picture):
        told = printable(f"{part.title}. {part.told}")
        plain["svg"] = inert_svg(part.svg, told=told, prefix=prefix, font=font)
    if isinstance(part, Table):
        plain["headed"] = any(part.heads)
        plain["heads"] = [inert_cell(cell) for cell in plain["heads"]]
        plain["rows"] = [[inert_cell(cell) for cell in row] for row in plain["rows"]]
    if isinstance(part, Entries):
        for entry in plain["entries"]:
            entry["name"] = inert_cell(entry["name"])
    return plain


def _plain(part: object) -> PlainPart:
    if not is_dataclass(part):
        raise TypeError(part)
    return {field.name: _value(getattr(part, field.name)) for field in fields(part)}


def _value(value: object) -> object:
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, Sequence):
        return [_value(one) for one in value]
    return value if isinstance(value, bool) else _plain(value)
