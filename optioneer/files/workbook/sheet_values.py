"""The rows of a listing put where the file of the case would state them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from optioneer.errors import did_you_mean
from optioneer.files.plain.numerals import excerpt
from optioneer.files.workbook.cell_values import cell_words
from optioneer.files.workbook.sheet_tables import (
    Book,
    SheetRow,
    SheetRows,
    entry_of,
    register,
    rows_of,
)
from optioneer.forms.schema import FormTable


@dataclass
class Filler:
    """A listing on its way into the values of its file.

    Parameters
    ----------
    values
        Keys and values of the file so far, filled in place.
    """

    book: Book
    listing: FormTable
    values: dict[str, Any]

    def fill(self) -> None:
        """Put every row where the file would state it."""
        rows = rows_of(self.book, self.listing)
        counts: dict[str, int] = {}
        taken: dict[Any, int] = {}
        for row in rows.rows:
            owner = self._owner(rows, row)
            if owner is None:
                continue
            self._note_twice(rows, row, taken, owner)
            counts[owner] = counts.get(owner, 0) + 1
            entry = entry_of(self.book, self.listing, rows, row)
            register(self.book, self.listing, rows, row, self._places(owner, entry, counts[owner]))
            self._put(rows, row, owner, entry)

    def _owner(self, rows: SheetRows, row: SheetRow) -> str | None:
        """Id of what the row belongs to, '' for nothing; none after noting that there is none."""
        if not self.listing.owner:
            return ""
        cell = row.cells.get(self.listing.owner)
        at = rows.at(row, self.listing.owner)
        known = [str(one.get("id")) for one in self.values.get(self.listing.path[0], [])]
        if cell is None:
            allowed = f"Name the {self.listing.owner} it belongs to."
            self.book.fault(self.listing.sheet, at, "is blank", allowed)
            return None
        name = cell if isinstance(cell, str) else cell_words(cell)
        if name in known:
            return name
        what = f"there is no {self.listing.owner} '{excerpt(name)}'"
        self.book.fault(self.listing.sheet, at, what, did_you_mean(name, known))
        return None

    def _note_twice(
        self, rows: SheetRows, row: SheetRow, taken: dict[Any, int], owner: str
    ) -> None:
        """Note an id that an earlier row has taken."""
        heading = self.listing.columns[0].heading
        if heading not in {"id", "name", "driver"} or self.listing.sheet == "regular":
            return
        name = (owner, row.cells.get(heading))
        if name[1] is not None and name in taken:
            what = f"{cell_words(name[1])} is already taken by row {taken[name]}"
            at = rows.at(row, heading)
            self.book.fault(self.listing.sheet, at, what, "Each row has one of its own.")
        taken.setdefault(name, row.number)

    def _places(self, owner: str, entry: Mapping[str, Any], count: int) -> list[str]:
        """How faults name the entry's place in its file."""
        path = self.listing.path
        label = entry.get("id")
        named = f"'{excerpt(label)}'" if isinstance(label, str) else f"{count}"
        if path == ("call_out",):
            return [f"call_out, {excerpt(str(entry.get('name', '')))}"]
        if path == ("account", "regular"):
            return [f"account.regular {count}"]
        if path == ("dealer", "stages"):
            return [f"dealer, stages, item {count}", "dealer, stages"]
        if owner:
            driver = excerpt(str(entry.get("driver", "")))
            item = {"drivers": f", {driver}", "way": f" {count}"}.get(path[1], f", item {count}")
            listed = f"{path[0]} '{owner}', {path[1]}"
            return [f"{listed}{item}"] if path[1] == "way" else [f"{listed}{item}", listed]
        inner = f", {path[1]}" if len(path) > 1 else ""
        places = [f"{path[0]}{inner} {count}", f"{path[0]}{inner} {named}"]
        return places if inner else places[1:]

    def _put(self, rows: SheetRows, row: SheetRow, owner: str, entry: dict[str, Any]) -> None:
        path, key = self.listing.path, self.listing.path[-1]
        if path[0] == "call_out" or key == "drivers":
            self._put_pair(rows, row, owner, entry)
        elif owner:
            home = next(one for one in self.values[path[0]] if one.get("id") == owner)
            home.setdefault(key, []).append(entry)
        elif len(path) > 1:
            self.values.setdefault(path[0], {}).setdefault(key, []).append(entry)
        else:
            self.values.setdefault(key, []).append(entry)

    def _is_driver(self, rows: SheetRows, row: SheetRow, name: str) -> bool:
        """Whether there is such a driver, after noting that there is none."""
        known = [str(one.get("id")) for one in self.values.get("driver", [])]
        if name not in known:
            what = f"there is no driver '{excerpt(name)}'"
            at = rows.at(row, "driver")
            self.book.fault(self.listing.sheet, at, what, did_you_mean(name, known))
        return name in known

    def _put_pair(
        self, rows: SheetRows, row: SheetRow, owner: str, entry: Mapping[str, Any]
    ) -> None:
        """Put a row of a name and its number into a table of names."""
        name, number = (column.key for column in self.listing.columns)
        for key in (name, number):
            if key not in row.cells:
                self.book.fault(self.listing.sheet, rows.at(row, key), "is blank")
        if name not in entry or number not in entry:
            return
        home = self.values
        if owner and not self._is_driver(rows, row, str(entry[name])):
            return
        if owner:
            home = next(one for one in self.values["stream"] if one.get("id") == owner)
        home.setdefault(self.listing.path[-1], {})[entry[name]] = entry[number]
