"""A sheet of cells in a grid that can be edited."""

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any, Literal

import pandas as pd
import streamlit as st

from optioneer.app.engine.heads import choice, column_name, in_words
from optioneer.app.parts import references
from optioneer.app.parts.mending import ToMend
from optioneer.files.grid.cells import GridColumn
from optioneer.files.grid.sheets import KEY, OWNER, VALUE, GridRow, columns_in
from optioneer.forms.schema import FormTable

MEANING = "meaning"
"""The column that tells what a figure means."""

TALLEST, ROW = 560, 35
"""Height of the tallest grid, and of a row [px]."""

PINNED = ("option", "id")
"""Columns that stay in sight."""

KEYS = "Enter edits a cell; Escape, then Tab leaves the table."
"""What the keyboard does in a grid."""

FEW = 8
"""So many names are told beside a figure that says one of them."""

FIGURES = frozenset({"number", "one-or-three", "date"})
"""Kinds of cells that stand at the right."""

WRONG = "background-color: #9a3412; color: #ffffff"
"""The looks of a figure to mend, in light and dark."""


def draw(
    sheet: FormTable,
    cells: Sequence[GridRow],
    *,
    currency: str,
    texts: Mapping[str, str],
    wrong: Sequence[ToMend],
    key: str,
    on_change: Callable[[], None],
) -> None:
    """The grid of a sheet.

    Parameters
    ----------
    sheet
        Which.
    cells
        Its rows.
    currency
        Said where the facts say money; '' while it is not known.
    texts
        The files that it is drawn from, for the names of what its cells say of other tables.
    wrong
        Its faults, told beside each figure. A list tells them above it: with other rows its grid
        would be another one, drawn anew while somebody types.
    key
        Of the widget; another one draws it anew.
    on_change
        Called after each edit.
    """
    frame = _frame(sheet, cells, currency, wrong, texts)
    st.data_editor(
        frame
        if sheet.many
        else frame.style.apply(_row_style, axis=1, wrong={o.row for o in wrong}),
        key=key,
        on_change=on_change,
        num_rows="dynamic" if sheet.many else "fixed",
        hide_index=True,
        width="stretch",
        height=min(TALLEST, ROW * (len(frame) + 1 + 2 * sheet.many) + 3),
        placeholder="",
        column_config=_columns(sheet, frame, currency, texts),
        disabled=[] if sheet.many else [KEY, MEANING],
        alt=f"{sheet.title}, {len(frame)} rows. {KEYS}",
    )
    rest = (
        "; other rows are chosen by name, other lists take semicolons. The heading of a column "
        "tells what it means."
        if sheet.many
        else ". A blank: not given."
    )
    st.caption(f"Plain digits, a point for decimals, shares as 25 % or 0.25{rest} {KEYS}")


def _frame(
    sheet: FormTable,
    cells: Sequence[GridRow],
    currency: str,
    wrong: Sequence[ToMend],
    texts: Mapping[str, str],
) -> pd.DataFrame:
    if sheet.many:
        names = [column.key for column in columns_in(sheet)]
        heads = [OWNER, *names] if sheet.owner else names
        frame = pd.DataFrame([dict(row) for row in cells], columns=heads, dtype="str")
        for key in heads:
            if references.several(sheet, key):
                frame[key] = pd.Series(references.cells(cells, key), dtype="object")
        return frame
    slips = {one.row: one.said for one in wrong}
    rows = [
        {
            KEY: column_name(row[KEY]),
            VALUE: references.names_said(sheet, row[KEY], row[VALUE], texts),
            MEANING: _meaning(sheet, column, currency, texts, slips.get(place, "")),
        }
        for place, (row, column) in enumerate(zip(cells, columns_in(sheet), strict=True))
    ]
    return pd.DataFrame(rows, columns=[KEY, VALUE, MEANING], dtype="str")


def _meaning(
    sheet: FormTable, column: GridColumn, currency: str, texts: Mapping[str, str], slip: str
) -> str:
    """What a figure means, or what is wrong with it; rows that it may say, by name."""
    word = references.table_of(sheet, column.key)
    names = references.names_in(word, texts) if word else {}
    if slip:
        return f"To mend: {references.by_name(slip, names)}"
    few = f" One of: {'; '.join(names.values())}." if 0 < len(names) <= FEW else ""
    many = " By name; semicolons between several." if len(names) > FEW else ""
    return _column_meaning(column, currency) + few + many


def _row_style(row: "pd.Series[str]", wrong: Collection[int | None]) -> list[str]:
    """The looks of a figure: those of one that is wrong stand out, beyond its cell, too."""
    return [WRONG if row.name in wrong else ""] * len(row)


def _column_meaning(column: GridColumn, currency: str) -> str:
    choices = f" One of: {', '.join(map(choice, column.choices))}." if column.choices else ""
    said = column.help.replace("money", currency or "money").replace("`", "")
    return in_words(said) + choices


def _columns(
    sheet: FormTable, frame: pd.DataFrame, currency: str, texts: Mapping[str, str]
) -> dict[str, Any]:
    config = st.column_config
    if not sheet.many:
        return {
            KEY: config.TextColumn(KEY, width=170),
            VALUE: config.TextColumn(VALUE, width=210, alignment=_side(sheet)),
            MEANING: config.TextColumn(MEANING, width=700),
        }
    found: dict[str, Any] = {}
    if sheet.owner:
        found[OWNER] = _chosen(sheet, OWNER, "What it belongs to.", frame, texts)
    for column in columns_in(sheet):
        label, told = column_name(column.key), _column_meaning(column, currency)
        if references.table_of(sheet, column.key):
            found[column.key] = _chosen(sheet, column.key, told, frame, texts)
        elif column.choices:
            there = [str(cell) for cell in frame[column.key].unique() if cell]
            words = list(dict.fromkeys([*column.choices, *there]))
            found[column.key] = config.SelectboxColumn(
                label, help=told, options=words, format_func=choice
            )
        else:
            found[column.key] = config.TextColumn(
                label,
                help=told,
                pinned=column.key in PINNED,
                alignment="right" if column.kind in FIGURES else None,
            )
    return found


def _side(sheet: FormTable) -> Literal["right"] | None:
    """Where the values of a sheet of single figures stand; one of words alone stays as it is."""
    return "right" if any(column.kind in FIGURES for column in columns_in(sheet)) else None


def _chosen(
    sheet: FormTable, key: str, told: str, frame: pd.DataFrame, texts: Mapping[str, str]
) -> Any:
    """A column in which rows of another table are chosen by their names."""
    many = references.several(sheet, key)
    held = [cell for cell in frame[key] if cell is not None]
    flat = [one for cell in held for one in (cell if many else [cell]) if one]
    return references.column(
        column_name(key),
        told,
        references.names_in(references.table_of(sheet, key), texts),
        flat,
        many=many,
        pinned=key == OWNER,
    )
