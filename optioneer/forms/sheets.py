"""The sheets of the entry workbook, made from the tables of a case."""

from collections.abc import Mapping
from dataclasses import dataclass

from optioneer.forms.schema import GROWTH, MACHINE, PAYING, SITE, TABLES, FormTable, tables

LISTS = "lists"
"""Name of the hidden sheet with the words of the drop-downs."""

GUIDE = "guide"
"""Name of the first sheet, which says how to fill in the others."""

HEADING = "heading"
"""First cell of the row of headings of a listing."""

MARKS = ("unit", "example")
"""First cells of the rows below the headings that explain them and are not read."""

FORM_HEADS = ("table", "key", "value", "unit", "blank means", "example", "meaning")
"""Headings of a form; only the first three are read."""

LISTINGS = tuple(one for one in TABLES if one.many)
"""The sheets with one row a fact."""


@dataclass(frozen=True)
class Form:
    """A sheet with one row a value.

    Parameters
    ----------
    name, title
        Name of the sheet; what it holds.
    file
        The file of the case that states the same.
    """

    name: str
    title: str
    file: str

    @property
    def tables(self) -> Mapping[str, FormTable]:
        """Its tables by key, '' for the top of the file."""
        return {"".join(path): one for path, one in tables(self.file, many=False).items()}


FORMS: tuple[Form, ...] = (
    Form("machine", "The machine, its hours and its dates", MACHINE),
    Form("growth", "Horizon, discounting and sampling", GROWTH),
    Form("paying", "The account, business days and taxes", PAYING),
    Form("site", "The shop, what the machine needs there, and the plan", SITE),
)
"""The sheets with one row a value."""

ORDER = tuple(dict.fromkeys(one.sheet for one in TABLES))
"""The sheets as they follow one another."""

REFERS: Mapping[tuple[str, str], tuple[str, str]] = {
    ("options", "eased_by"): ("options", "option"),
    ("options", "call_out"): ("call_outs", "name"),
    ("loadings", "stream"): ("streams", "id"),
    ("loadings", "driver"): ("drivers", "id"),
    ("ways", "stream"): ("streams", "id"),
    ("stages", "plan"): ("plans", "id"),
    ("steps", "plan"): ("plans", "id"),
    ("paying", "use"): ("plans", "id"),
    ("supplies", "supplier"): ("suppliers", "id"),
    ("trades", "supplier"): ("suppliers", "id"),
}
"""Columns that name what another sheet lists: that sheet and its column."""
