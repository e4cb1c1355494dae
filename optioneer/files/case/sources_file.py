"""``sources.csv``: where each figure of the case is from, one line a word that was said."""

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from optioneer.errors import Fault
from optioneer.files.case.part import CasePart
from optioneer.files.plain.document import Document
from optioneer.files.plain.entry import entry
from optioneer.files.plain.numerals import excerpt
from optioneer.files.plain.source import Source
from optioneer.files.plain.table import guarded, table, unguarded
from optioneer.model.origin import Origin

KEYS = ("source",)
COLUMNS = tuple(Origin.model_fields)
REQUIRED = ("key", "source")
FREE_TEXTS = ("who", "note")
_STAND_IN = {"key": "-", "source": "told"}


def read_sources(source: Source) -> CasePart:
    """Where the figures are from.

    Parameters
    ----------
    source
        The text of ``sources.csv``.

    Raises
    ------
    CaseError
        The text is no table that can be read at all.
    """
    rows = table(source, COLUMNS, REQUIRED)
    faults = list(rows.faults)
    origins = []
    for record in rows.rows:
        origin, found = _origin(rows.cells(record), f"{source.name}, row {record.number}")
        faults.extend(found)
        origins.append(origin)
    whole = tuple(origin for origin in origins if origin is not None)
    return CasePart({"sources": whole or None}, tuple(faults))


def _origin(cells: Mapping[str, str], where: str) -> tuple[Origin | None, list[Fault]]:
    raw: dict[str, Any] = {
        key: unguarded(c) if key in FREE_TEXTS else c for key, c in cells.items()
    }
    wrong = []
    if "date" in raw:
        try:
            raw["date"] = date.fromisoformat(raw["date"])
        except ValueError:
            what = f"'{excerpt(raw.pop('date'))}' is not a date"
            wrong.append(Fault(f"{where}, date", what, "Write year-month-day: 2027-02-01."))
    found = entry(Origin, raw, lambda path: ", ".join([where, *map(str, path)]), stand_in=_STAND_IN)
    return found.fact, [*wrong, *found.faults]


def sources_part(toml: Document) -> CasePart:
    """The same from values already read."""
    origins = tuple(
        origin
        for place, values in toml.tables("source")
        if (origin := toml.fact(Origin, values, place, **_STAND_IN)) is not None
    )
    return CasePart({"sources": origins or None}, tuple(toml.faults))


def sources_table(old: Source | None, before: Sequence[Origin], after: Sequence[Origin]) -> str:
    """The text of a table that lists `after`; what is added goes below what is there.

    Parameters
    ----------
    old
        The table so far, without faults, if there is one.
    before
        What it says.
    after
        What it is to say.
    """
    if old is None or tuple(after[: len(before)]) != tuple(before):
        return "".join(_lines([list(COLUMNS), *map(_cells, after)], ","))
    read = table(old, COLUMNS, REQUIRED)
    more = [
        [dict(zip(COLUMNS, _cells(origin), strict=True)).get(name, "") for name in read.columns]
        for origin in after[len(before) :]
    ]
    if set(read.columns) < set(COLUMNS):
        return sources_table(None, (), after)
    text = old.text if old.text.endswith(("\n", "\r")) else f"{old.text}\n"
    return text + "".join(_lines(more, read.delimiter))


def _lines(rows: Sequence[Sequence[str]], delimiter: str) -> Iterator[str]:
    for row in rows:
        held = io.StringIO()
        csv.writer(held, delimiter=delimiter, lineterminator="\n").writerow(row)
        yield held.getvalue()


def _cells(origin: Origin) -> list[str]:
    said = {key: getattr(origin, key) for key in COLUMNS}
    texts = {key: "" if value is None else str(value) for key, value in said.items()}
    return [guarded(text) if key in FREE_TEXTS else text for key, text in texts.items()]
