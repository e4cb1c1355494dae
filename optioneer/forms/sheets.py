"""The sheets of the entry workbook, made from the models of the case."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from pydantic import BaseModel

from optioneer.forms.columns import Cell, Column, columns
from optioneer.model.case import Case
from optioneer.model.growth import Growth
from optioneer.model.machine import Dates, Hours, Machine
from optioneer.model.paying import (
    Account,
    IncomeTax,
    PayDays,
    Paying,
    SalesTax,
)
from optioneer.model.site import Air, Needs, Shop
from optioneer.model.works import (
    Crew,
    SitePlan,
    WorkCalendar,
)

MACHINE, OPTIONS, GROWTH = "machine.toml", "options.csv", "growth.toml"
PAYING, SITE = "paying.toml", "site.toml"

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

Facts = Sequence[tuple[str, BaseModel]]
"""Facts with the id of what each belongs to, '' where it belongs to nothing."""


@dataclass(frozen=True)
class Listing:
    """A sheet with one row a fact.

    Parameters
    ----------
    name, title
        Name of the sheet; what it lists.
    file
        The file of the case that states the same.
    path
        Keys of the list in that file.
    columns
        Its columns.
    facts
        The facts of a case.
    parent
        Heading of the column that names what a row belongs to; '' where there is none.
    """

    name: str
    title: str
    file: str
    path: tuple[str, ...]
    columns: tuple[Column, ...]
    facts: Callable[[Case], Facts]
    parent: str = ""

    def rows(self, case: Case) -> Iterable[tuple[Cell, ...]]:
        """The cells of a case, in the order of `columns`, the parent's first."""
        for owner, fact in self.facts(case):
            cells = tuple(column.of(fact, told=False) for column in self.columns)
            yield (owner, *cells) if self.parent else cells


@dataclass(frozen=True)
class Form:
    """A sheet with one row a value.

    Parameters
    ----------
    name, title
        Name of the sheet; what it holds.
    file
        The file of the case that states the same.
    tables
        Its tables by key, '' for the top of the file: their rows, and the fact of a case.
    """

    name: str
    title: str
    file: str
    tables: Mapping[str, tuple[tuple[Column, ...], Callable[[Case], BaseModel | None]]]


FORMS: tuple[Form, ...] = (
    Form(
        "machine",
        "The machine, its hours and its dates",
        MACHINE,
        {
            "machine": (columns(Machine), lambda case: case.machine),
            "hours": (columns(Hours), lambda case: case.hours),
            "dates": (columns(Dates), lambda case: case.dates),
        },
    ),
    Form(
        "growth",
        "Horizon, discounting and sampling",
        GROWTH,
        {"": (columns(Growth, "driver", "stream"), lambda case: case.growth)},
    ),
    Form(
        "paying",
        "The account, business days and taxes",
        PAYING,
        {
            "": (columns(Paying, *Paying.model_fields.keys() - {"use"}), lambda case: case.paying),
            "account": (
                columns(Account, "regular"),
                lambda case: case.paying and case.paying.account,
            ),
            "calendar": (columns(PayDays), lambda case: case.paying and case.paying.calendar),
            "sales_tax": (columns(SalesTax), lambda case: case.paying and case.paying.sales_tax),
            "income_tax": (columns(IncomeTax), lambda case: case.paying and case.paying.income_tax),
        },
    ),
    Form(
        "site",
        "The shop, what the machine needs there, and the plan",
        SITE,
        {
            "shop": (columns(Shop), lambda case: case.site and case.site.shop),
            "needs": (columns(Needs), lambda case: case.site and case.site.needs),
            "air": (columns(Air, "compressor"), lambda case: case.site and case.site.air),
            "crew": (columns(Crew), lambda case: case.site and case.site.crew),
            "calendar": (
                columns(WorkCalendar, "shutdown"),
                lambda case: case.site and case.site.calendar,
            ),
            "plan": (columns(SitePlan), lambda case: case.site and case.site.plan),
        },
    ),
)
"""The sheets with one row a value."""

ORDER = (
    *("machine", "call_outs", "options", "bundles", "packages"),
    *("growth", "drivers", "streams", "loadings", "ways"),
    *("paying", "regular", "plans", "stages", "steps"),
    *("site", "transformers", "loads", "compressors", "openings", "supplies", "suppliers"),
    *("trades", "shutdowns", "items", "tasks"),
)
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
