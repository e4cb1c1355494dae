"""Cells that say other rows of the case: people choose names, the files keep short names."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from optioneer.errors import OptioneerError
from optioneer.files.grid.cells import SEPARATOR
from optioneer.files.grid.sheet_list import SHEETS
from optioneer.files.grid.sheets import OWNER, GridRow, columns_in, rows
from optioneer.forms.columns import NOTHING
from optioneer.forms.schema import FormTable

Names = Mapping[str, str]
"""What people call the rows of a table, by short name."""

SEVERAL: Mapping[str, str] = {
    "requires": "options",
    "excludes": "options",
    "options": "options",
    "without": "options",
    "trades": "trades",
    "after": "tasks",
    "reserve_for": "options",
}
"""The table that a cell says several rows of, by the key of its column."""

ONE: Mapping[str, str] = {"eased_by": "options", "supplier": "suppliers", "use": "plans"}
"""The table that a cell says one row of."""

LISTS: Mapping[str, str] = {"stream": "streams", "plan": "plans"}
"""The table of what rows belong to, by the key of its list."""

ELSEWHERE = frozenset({"steps", "stages"})
"""Tables whose `after` is a time."""


def table_of(sheet: FormTable, key: str) -> str:
    """The word of the table that a column says rows of; '' where it says none."""
    if key == OWNER:
        return LISTS.get(sheet.owner, "")
    if sheet.word in ELSEWHERE:
        return ""
    return SEVERAL.get(key, "") or ONE.get(key, "")


def several(sheet: FormTable, key: str) -> bool:
    """Whether a cell of a column says several rows."""
    return key in SEVERAL and bool(table_of(sheet, key))


KINDS: Mapping[str, str] = {
    "option": "options",
    "package": "packages",
    "stream": "streams",
    "driver": "drivers",
    "plan": "plans",
    "supply": "supplies",
    "supplier": "suppliers",
    "trade": "trades",
    "item": "items",
    "task": "tasks",
}
"""The table of a row that a sentence calls by its kind and its short name."""

_ROW = re.compile(rf"\b({'|'.join(KINDS)}) '([\w-]+)'")


def by_kind(text: str, texts: Mapping[str, str]) -> str:
    """A sentence that calls rows by their names where it called them by short names."""

    def called(found: re.Match[str]) -> str:
        names = names_in(KINDS[found[1]], texts)
        return f"{found[1]} '{names.get(found[2], found[2])}'"

    return _ROW.sub(called, text)


def names_in(word: str, texts: Mapping[str, str]) -> Names:
    """The names of the rows of a table; of two that share one the short names are told, too.

    None while its file is no table of cells as it stands.
    """
    try:
        found = rows(SHEETS[word], texts)
    except OptioneerError:
        return {}
    shorts = [row.get("option") or row.get("id", "") for row in found]
    called = {
        short: row.get("name") or spoken(short)
        for short, row in zip(shorts, found, strict=True)
        if short
    }
    every = list(called.values())
    return {
        short: name if every.count(name) == 1 else f"{name} ({short})"
        for short, name in called.items()
    }


def spoken(short: str) -> str:
    """What a row without a name is called.

    Examples
    --------
    >>> spoken("set-in-place"), spoken("-")
    ('set in place', 'none')
    """
    return "none" if short == NOTHING else short.replace("-", " ")


def in_cell(text: str) -> list[str]:
    """The short names that a cell holds.

    Examples
    --------
    >>> in_cell("a; b ;"), in_cell("")
    (['a', 'b'], [])
    """
    return [part.strip() for part in text.split(SEPARATOR) if part.strip()]


def names_said(sheet: FormTable, key: str, held: str, texts: Mapping[str, str]) -> str:
    """A figure that is written once as people say it: other rows by their names."""
    names = names_in(table_of(sheet, key), texts) if table_of(sheet, key) else {}
    return joined([names.get(short, short) for short in in_cell(held)]) if names else held


def shorts_kept(sheet: FormTable, key: str, typed: str, texts: Mapping[str, str]) -> str:
    """A figure that is written once as the file keeps it: other rows by their short names."""
    word = table_of(sheet, key)
    shorts = (
        {name.casefold(): short for short, name in names_in(word, texts).items()} if word else {}
    )
    whole = typed.strip().casefold()
    if not shorts or whole in shorts:
        return shorts.get(whole, typed)
    return joined([shorts.get(one.casefold(), one) for one in in_cell(typed)])


def by_name(text: str, names: Names) -> str:
    """A sentence about rows with their names in the place of short names.

    Examples
    --------
    >>> by_name("Allowed: bank, bank-late.", {"bank": "Bank loan", "bank-late": "Later"})
    'Allowed: Bank loan, Later.'
    """
    if not names:
        return text
    either = "|".join(map(re.escape, sorted(names, key=len, reverse=True)))
    return re.sub(rf"(?<![\w-])({either})(?![\w-])", lambda found: names[found[1]], text)


def named_anew(sheet: FormTable, before: Mapping[str, str], now: Mapping[str, str]) -> bool:
    """Whether cells of a list may say rows that its grid on the screen cannot name yet."""
    if not sheet.many:
        return False
    words = {table_of(sheet, column.key) for column in columns_in(sheet)} - {""}
    other = {one for one in words if before.get(SHEETS[one].file) != now.get(SHEETS[one].file)}
    return any(names_in(one, before) != names_in(one, now) for one in other)


def joined(held: Sequence[str]) -> str:
    """What a cell of several is in the file; none of them only where it stands alone.

    Examples
    --------
    >>> joined(["-", "a", "b"]), joined(["-"]), joined([])
    ('a; b', '-', '')
    """
    chosen = [one for one in held if one != NOTHING]
    return f"{SEPARATOR} ".join(chosen or held)


def column(
    label: str, told: str, names: Names, held: Sequence[str], *, many: bool, pinned: bool
) -> dict[str, Any]:
    """The column of a grid in which names are chosen.

    Parameters
    ----------
    label, told
        What stands in its head and behind it.
    names
        The rows that can be chosen.
    held
        Short names that its cells hold, known or not.
    many
        Whether a cell takes several; then it takes short names that are typed, too.
    pinned
        Whether it stays in sight.
    """
    options = list(dict.fromkeys([*names, *held]))

    def called(short: object) -> str:
        return "" if short is None else names.get(str(short)) or spoken(str(short))

    if not many:
        return dict(
            st.column_config.SelectboxColumn(
                label,
                help=told,
                options=options,
                format_func=called,
                pinned=pinned,
                width="medium" if pinned else None,
            )
        )
    return dict(
        st.column_config.MultiselectColumn(
            label, help=told, options=options, accept_new_options=True, format_func=called
        )
    )


def cells(given: Sequence[GridRow], key: str) -> list[list[str] | None]:
    """The cells of a column of several; none where one is blank."""
    return [in_cell(row.get(key, "")) or None for row in given]
