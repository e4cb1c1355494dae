"""Every table of a case, once: where it stands in the files and what people call it.

What its rows state comes from the models: a new field needs a line in its model and nothing here,
a new table a field in its model and a line here. Readers, writers, the grid and the entry workbook
are made from this one table.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import Any

from pydantic import BaseModel, Field

from optioneer.forms.columns import Cell, Column, columns
from optioneer.forms.fields import facts_held
from optioneer.model.case import Case
from optioneer.model.fact import Fact
from optioneer.model.growth import Growth
from optioneer.model.paying import Paying
from optioneer.model.site import Site

MACHINE, OPTIONS, GROWTH = "machine.toml", "options.csv", "growth.toml"
PAYING, SITE, SOURCES = "paying.toml", "site.toml", "sources.csv"

Facts = Sequence[tuple[str, BaseModel]]
"""Facts with the id of what each belongs to, '' where it belongs to nothing."""

Path = tuple[str, ...]
"""Keys that lead to a table in its file; none: the top of the file."""


class LoadingRow(Fact):
    """One driver of a stream, in the form of a row."""

    driver: str = Field(description="Id of the driver.")
    loading: float = Field(description="Its weight on the stream, from -1 to 1.")


class Visit(Fact):
    """One call-out, in the form of a row."""

    name: str = Field(description="Name of the visit.")
    charge: float = Field(description="Fixed charge of one visit [money].")


_ROOTS: Mapping[str, type[BaseModel]] = {
    MACHINE: Case,
    OPTIONS: Case,
    GROWTH: Growth,
    PAYING: Paying,
    SITE: Site,
    SOURCES: Case,
}
"""Whose fields the keys at the top of a file are."""

_FIELDS: Mapping[str, Path] = {
    "call_out": ("call_outs",),
    "bundle": ("bundles",),
    "package": ("packages",),
    "option": ("catalogue", "options"),
    "source": ("sources",),
}
"""Fields of a case by their key in a file, where the two differ."""

_PAIRS: Mapping[Path, type[BaseModel]] = {("call_out",): Visit, ("stream", "drivers"): LoadingRow}
"""Tables of names with a number each, and the rows that say the same."""


@dataclass(frozen=True)
class FormTable:
    """One table of a case.

    Parameters
    ----------
    file, path
        The file it stands in, and where.
    sheet
        Its sheet in the workbook; tables that are written once share one.
    word, title
        Its name in the grid, in addresses and for people; '' where the grid has no such table.
    lists
        What it lists, one row a fact; '' where it is written once.
    inline
        Whether its file writes it on one line of what it belongs to.
    """

    file: str
    path: Path
    sheet: str
    word: str = ""
    title: str = ""
    lists: str = ""
    inline: bool = False

    @property
    def models(self) -> tuple[type[BaseModel], ...]:
        """Facts that its rows state; several where rows differ in kind."""
        return _models(self.file, self.path)

    @property
    def many(self) -> bool:
        """Whether it has a row a fact; else it is written once."""
        return bool(self.lists)

    @property
    def pairs(self) -> bool:
        """Whether the file writes it as names with a number each."""
        return self.path in _PAIRS

    @property
    def owner(self) -> str:
        """Key of the list whose entries its rows belong to; '' where there is none."""
        above = [one for one in TABLES if (one.file, one.path) == (self.file, self.path[:1])]
        return self.path[0] if len(self.path) > 1 and above[0].many else ""

    @property
    def inner(self) -> tuple["FormTable", ...]:
        """The tables that stand inside it."""
        below = (one for one in TABLES if one.file == self.file and one.path)
        return tuple(one for one in below if one.path[:-1] == self.path)

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """The columns of its sheet; where rows differ in kind, each once, and the kind is told."""
        found: dict[str, Column] = {}
        for model in self.models:
            for column in columns(model, *(one.path[-1] for one in self.inner)):
                first = found.setdefault(column.heading, column)
                if column.words != first.words:
                    words = (*first.words, *column.words)
                    found[column.heading] = replace(first, words=words, required=True)
        return tuple(found.values())

    def rows(self, case: Case) -> Iterable[tuple[Cell, ...]]:
        """The cells of a case, in the order of `columns`, the owner's first."""
        for owner, fact in self.facts(case):
            cells = tuple(column.of(fact, told=False) for column in self.columns)
            yield (owner, *cells) if self.owner else cells

    def facts(self, case: Case) -> Facts:
        """The facts of a case that it states."""
        holder = {GROWTH: case.growth, PAYING: case.paying, SITE: case.site}.get(self.file, case)
        if not self.many:
            fact = _value(holder, self.path)
            return () if fact is None else [("", fact)]
        if not self.owner:
            return [("", fact) for fact in self._rows(_value(holder, self.path))]
        owners = _value(holder, self.path[:1]) or ()
        return [
            (owner.id, fact)
            for owner in owners
            for fact in self._rows(_value(owner, self.path[1:]))
        ]

    def _rows(self, value: Any) -> Sequence[BaseModel]:
        if not isinstance(value, Mapping):
            return tuple(value or ())
        (model,) = self.models
        return [model(**dict(zip(model.model_fields, pair, strict=True))) for pair in value.items()]


def _value(holder: Any, path: Path) -> Any:
    """The value that keys lead to; none where there is nothing."""
    for key in path:
        for field in _FIELDS.get(key, (key,)):
            holder = getattr(holder, field, None)
    return holder


@cache
def _models(file: str, path: Path) -> tuple[type[BaseModel], ...]:
    if path in _PAIRS:
        return (_PAIRS[path],)
    found: tuple[type[BaseModel], ...] = (_ROOTS[file],)
    for key in path:
        for field in _FIELDS.get(key, (key,)):
            having = (model for model in found if field in model.model_fields)
            found = facts_held(next(having).model_fields[field].annotation)
    return found


def _once(file: str, path: str, sheet: str, word: str = "", title: str = "") -> FormTable:
    return FormTable(file, tuple(filter(None, path.split("."))), sheet, word, title)


def _list(
    file: str, path: str, sheet: str, lists: str, title: str = "", *, inline: bool = False
) -> FormTable:
    """A table with a row a fact; its word is that of its sheet, and its title that word."""
    word = sheet.replace("_", "-")
    steps, called = tuple(path.split(".")), title or word.capitalize()
    return FormTable(file, steps, sheet, word, called, lists, inline)


TABLES: tuple[FormTable, ...] = (
    _once(MACHINE, "machine", "machine", "machine", "Machine"),
    _once(MACHINE, "hours", "machine", "hours", "Hours"),
    _once(MACHINE, "dates", "machine", "dates", "Dates"),
    _list(MACHINE, "call_out", "call_outs", "What one field-service visit costs, by its name"),
    _list(OPTIONS, "option", "options", "The quote: one row an option"),
    _list(MACHINE, "bundle", "bundles", "Options that cost less when ordered together"),
    _list(
        *(MACHINE, "package", "packages", "Packages to be seen side by side with the advice"),
        "Packages to compare",
    ),
    _once(GROWTH, "", "growth", "growth", "Horizon and rates"),
    _list(
        *(GROWTH, "driver", "drivers"),
        "Outside forces that make several kinds of work likelier together",
    ),
    _list(GROWTH, "stream", "streams", "Kinds of work that may show up", "Work streams"),
    FormTable(
        *(GROWTH, ("stream", "drivers"), "loadings"),
        lists="How much of a stream hangs on a driver; the squares of a stream sum to at most 1",
        inline=True,
    ),
    _list(
        *(GROWTH, "stream.way", "ways"),
        "Sets of options that let the machine do a stream; the best one fitted counts",
        "Ways to do the work",
    ),
    _once(PAYING, "", "paying", "use", "Plan the advice counts on"),
    _once(PAYING, "dealer", "paying", "dealer", "The dealer's terms"),
    _once(PAYING, "account", "paying", "account", "Account"),
    _once(PAYING, "calendar", "paying", "pay-days", "Business days"),
    _once(PAYING, "sales_tax", "paying", "sales-tax", "Sales tax"),
    _once(PAYING, "income_tax", "paying", "income-tax", "Income tax"),
    _list(
        *(PAYING, "dealer.stages", "dealer_stages", "Payments that the dealer's quote asks for"),
        "The dealer's stages",
        inline=True,
    ),
    _list(
        *(PAYING, "account.regular", "regular"),
        *("Money that comes or goes every month whatever is ordered", "The rest of the business"),
    ),
    _list(PAYING, "plan", "plans", "Ways of paying on offer", "Ways of paying"),
    _list(PAYING, "plan.stages", "stages", "Payments to the dealer, by plan", inline=True),
    _list(
        *(PAYING, "plan.steps", "steps", "Changes in the size of instalments, by plan"),
        "Steps of instalments",
        inline=True,
    ),
    _once(SITE, "shop", "site", "shop", "The shop"),
    _once(SITE, "needs", "site", "needs", "The machine's needs"),
    _once(SITE, "air", "site", "air", "Compressed air"),
    _once(SITE, "crew", "site", "crew", "Own crew"),
    _once(SITE, "calendar", "site", "calendar", "Working days"),
    _once(SITE, "plan", "site", "plan", "The plan"),
    _list(SITE, "transformer", "transformers", "Transformers on hand"),
    _list(
        *(SITE, "load", "loads", "Loads on the service already, where no peak was measured"),
        "Loads on the service",
    ),
    _list(SITE, "air.compressor", "compressors", "Compressors on hand"),
    _list(
        *(SITE, "opening", "openings", "Doors, aisles and turns on the way in"),
        "Openings on the way in",
    ),
    _list(SITE, "supply", "supplies", "What can be bought for the site", "What can be bought"),
    _list(SITE, "supplier", "suppliers", "Who is paid, on what terms"),
    _list(SITE, "trade", "trades", "Trades that come to the site"),
    _list(SITE, "calendar.shutdown", "shutdowns", "Days on which nobody works", "Weeks off"),
    _list(SITE, "item", "items", "What stands in the way", "What stands there"),
    _list(SITE, "task", "tasks", "Tasks of your own, and built-in ones that you change"),
    FormTable(
        *(SOURCES, ("source",), "sources"),
        lists="Where each figure is from: what was said, by whom, when",
    ),
)
"""The tables in the order of the workbook: a list before what belongs to its entries."""


def case_fields(file: str) -> Mapping[str, str]:
    """The fields of a case by the keys at the top of a file that states some of them."""
    keys = dict.fromkeys(one.path[0] for one in TABLES if one.file == file)
    return {key: _FIELDS.get(key, (key,))[0] for key in keys}


def defaults(file: str) -> Mapping[str, Any]:
    """What the keys at the top of a file mean where they are not there."""
    root = _ROOTS[file]
    fields = {known.alias or name: known for name, known in root.model_fields.items()}
    if root is Case:
        fields = {key: root.model_fields[name] for key, name in case_fields(file).items()}
    return {
        key: field.get_default(call_default_factory=True)
        for key, field in fields.items()
        if not field.is_required()
    }


def tables(file: str, *, many: bool) -> Mapping[Path, FormTable]:
    """The tables of a file by their path, those with a row a fact or those written once."""
    return {one.path: one for one in TABLES if one.file == file and one.many == many}
