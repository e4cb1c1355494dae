"""A page as a PDF: tagged, with its language, fonts inside, made to be printed and read aloud."""

import json
from collections.abc import Mapping
from importlib.resources import as_file, files
from typing import Any, Literal

from optioneer.reports.page.parts import Heading, Page
from optioneer.reports.page.plain_parts import plain_parts
from optioneer.reports.page.printable import printable

FONT = "Libertinus Serif"
"""Comes inside the typesetter, so that the paper looks the same on every machine; other scripts
than Latin, Greek and Cyrillic fall back on the machine's fonts."""

UNSHOWN = "(Some letters are missing here: no font on this machine has them.)"
"""Said at the foot of a paper that cannot claim PDF/UA-1, which allows no missing letter."""

FULL_WIDTH = 700.0
"""A drawing as wide as this fills the line [px]."""

Paper = Literal["a4", "us-letter"]
LETTER = frozenset({"US", "CA", "MX", "CL", "CO", "PH"})
"""Territories that print on letter paper."""


def paper_of(locale: str) -> Paper:
    """The size of paper that a locale such as ``en_US`` prints on.

    Examples
    --------
    >>> paper_of("en_US"), paper_of("de_DE")
    ('us-letter', 'a4')
    """
    return "us-letter" if locale.rpartition("_")[2] in LETTER else "a4"


def pdf_paper(page: Page, *, foot: str = "", paper: Paper = "a4") -> bytes:
    """`page` as a tagged PDF.

    Parameters
    ----------
    foot
        Stands at the foot of every sheet.

    Notes
    -----
    Made to ISO 14289-1 (PDF/UA-1). Where the fonts of the machine lack a letter that is to be
    shown, the claim is dropped and the foot says so; tags and language stay.

    Raises
    ------
    ImportError
        The extra ``papers`` is not installed.
    """
    import typst  # noqa: PLC0415 - an extra: only for papers

    parts = plain_parts(page, font=FONT)
    for part in parts:
        if part["kind"] == "picture":
            part["width"] = min(100.0, 100 * _width(part["svg"]) / FULL_WIDTH)
    title = next((part.text for part in page if isinstance(part, Heading)), "")
    data = {
        "title": printable(title),
        "foot": printable(foot),
        "paper": paper,
        "font": FONT,
        "parts": parts,
    }
    try:
        return _typeset(data, accessible=True)
    except typst.TypstError as error:
        if "could not be displayed" not in str(error):
            raise
        return _typeset({**data, "foot": f"{data['foot']} {UNSHOWN}"}, accessible=False)


def _typeset(data: Mapping[str, Any], *, accessible: bool) -> bytes:
    import typst  # noqa: PLC0415 - an extra: only for papers

    with as_file(files(__package__).joinpath("paper.typ")) as template:
        made: bytes = typst.compile(
            str(template),
            root=str(template.parent),
            sys_inputs={"page": json.dumps(data)},
            pdf_standards=["ua-1"] if accessible else [],
        )
    return made


def _width(svg: str) -> float:
    return float(svg.partition(' width="')[2].partition('"')[0])
