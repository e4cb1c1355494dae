"""A sheet of cells in a grid that can be edited."""

from collections.abc import Callable, Sequence
from typing import Any

import pandas as pd
import streamlit as st

from optioneer.files.grid.cells import GridColumn
from optioneer.files.grid.sheets import KEY, OWNER, VALUE, GridRow, columns_in
from optioneer.forms.schema import FormTable

MEANING = "meaning"
"""The column that tells what a figure means."""

TALLEST, ROW = 560, 35
"""Height of the tallest grid, and of a row [px]."""

NAMES = ("option", "id", "name", "of")
"""Columns that stay in sight."""


def draw(
    sheet: FormTable,
    cells: Sequence[GridRow],
    *,
    currency: str,
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
    key
        Of the widget; another one draws it anew.
    on_change
        Called after each edit.
    """
    frame = _frame(sheet, cells, currency)
    st.data_editor(
        frame,
        key=key,
        on_change=on_change,
        num_rows="dynamic" if sheet.many else "fixed",
        hide_index=True,
        width="stretch",
        height=min(TALLEST, ROW * (len(frame) + 2 + sheet.many)),
        column_config=_columns(sheet, frame, currency),
        disabled=[] if sheet.many else [KEY, MEANING],
        alt=f"{sheet.title}, {len(frame)} rows. Enter edits a cell.",
    )
    st.caption(
        "Plain digits, a point for decimals, shares as 25 % or 0.25, lists with semicolons. The "
        "heading of a column tells what it means."
        if sheet.many
        else "Plain digits, a point for decimals, shares as 25 % or 0.25. A blank: not given."
    )


def _frame(sheet: FormTable, cells: Sequence[GridRow], currency: str) -> pd.DataFrame:
    if sheet.many:
        names = [column.key for column in columns_in(sheet)]
        heads = [OWNER, *names] if sheet.owner else names
        return pd.DataFrame([dict(row) for row in cells], columns=heads, dtype="str")
    told = [_told(column, currency) for column in columns_in(sheet)]
    rows = [{**row, MEANING: text} for row, text in zip(cells, told, strict=True)]
    return pd.DataFrame(rows, columns=[KEY, VALUE, MEANING], dtype="str")


def _told(column: GridColumn, currency: str) -> str:
    choices = f" One of: {', '.join(column.choices)}." if column.choices else ""
    return column.help.replace("money", currency or "money").replace("`", "") + choices


def _columns(sheet: FormTable, frame: pd.DataFrame, currency: str) -> dict[str, Any]:
    config = st.column_config
    if not sheet.many:
        return {
            KEY: config.TextColumn(KEY, width="medium"),
            VALUE: config.TextColumn(VALUE, width="medium"),
            MEANING: config.TextColumn(MEANING, width="large"),
        }
    found: dict[str, Any] = {
        OWNER: config.TextColumn(OWNER, help="The id of the entry that it belongs to.", pinned=True)
    }
    for column in columns_in(sheet):
        label = column.key.replace("_", " ")
        told = _told(column, currency)
        pinned = column.key in NAMES[:2]
        if column.choices:
            there = [str(cell) for cell in frame[column.key].unique() if cell]
            words = list(dict.fromkeys([*column.choices, *there]))
            found[column.key] = config.SelectboxColumn(label, help=told, options=words)
        else:
            found[column.key] = config.TextColumn(label, help=told, pinned=pinned)
    return found
