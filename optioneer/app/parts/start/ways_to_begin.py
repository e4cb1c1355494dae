"""Three ways to a list: one that is dropped, names and prices that are typed, a kind of machine."""

from collections.abc import Sequence

import pandas as pd
import streamlit as st

from optioneer.app.engine.settings import LARGEST_UPLOAD
from optioneer.app.parts.grid import KEYS
from optioneer.model.kinds.usual import usual_kinds

ENDINGS = ("csv", "tsv", "txt", "xlsx")
"""Endings of what is taken."""

DROP, TYPE, KIND = "Drop the dealer's list", "Type names and prices", "From a kind of machine"

HEAD = "Name;Price"

EXAMPLE = "CNC lathe, 52 mm bar; 94800\nSub-spindle; 14500\nAutomatic door; 3900"

PART, PRICE = "Part", "Price"


def list_given() -> tuple[str, bytes] | None:
    """The name and bytes of a list; none while there is none."""
    way = st.segmented_control(
        "How do you begin?", [DROP, TYPE, KIND], default=DROP, required=True, key="begin"
    )
    return {DROP: _dropped_list, TYPE: _list_from_text, KIND: _of_kind}[str(way)]()


def _dropped_list() -> tuple[str, bytes] | None:
    file = st.file_uploader(
        f"The list as CSV or a workbook, {LARGEST_UPLOAD} MB at most",
        type=list(ENDINGS),
        key="list-upload",
    )
    return None if file is None else (file.name, file.getvalue())


def _list_from_text() -> tuple[str, bytes] | None:
    text = st.text_area(
        "The machine first, then an option a line: name, semicolon, price",
        placeholder=EXAMPLE,
        height=220,
        key="list-typed",
    )
    return typed_list(text)


def typed_list(text: str) -> tuple[str, bytes] | None:
    r"""Lines of names and prices as a list; none before a machine and an option are there.

    Examples
    --------
    >>> typed_list("Lathe 42; 118000 EUR")
    >>> typed_list("Lathe 42; 118000 EUR\n\nSub-spindle; 14500")
    ('what was typed', b'Name;Price\nLathe 42; 118000 EUR\nSub-spindle; 14500\n')
    """
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    if len(lines) < len((PART, PRICE)):
        return None
    return "what was typed", "\n".join([HEAD, *lines, ""]).encode()


def _of_kind() -> tuple[str, bytes] | None:
    """What such a machine may have, a line each; those with a price are what is offered."""
    kinds = usual_kinds().machines
    kind = st.selectbox(
        "What kind of machine is it?",
        list(kinds),
        index=None,
        format_func=lambda one: kinds[one].name,
        key="begin-kind",
        placeholder="Choose a kind",
    )
    if kind is None:
        return None
    rows = parts_of(str(kind))
    frame = st.data_editor(
        pd.DataFrame(rows, columns=[PART, PRICE], dtype="str"),
        key=f"begin-parts-{kind}",
        num_rows="dynamic",
        hide_index=True,
        width="stretch",
        height=420,
        alt=f"What such a machine may have, {len(rows)} rows. {KEYS}",
    )
    st.caption(
        "Write the price of the machine and of each option that you are offered; what has none is "
        "left out. 'included' is standard."
    )
    parts, prices = (frame[column].fillna("") for column in (PART, PRICE))
    return priced_list(list(zip(parts, prices, strict=True)))


def parts_of(kind: str) -> list[tuple[str, str]]:
    """The machine of a kind and all that it usually may have, without prices."""
    known = usual_kinds()
    names = [one.name for one in known.kind if kind in one.machines and one.fit]
    return [(name, "") for name in (known.machines[kind].name, *names)]


def priced_list(rows: Sequence[tuple[str, str]]) -> tuple[str, bytes] | None:
    """The rows that have a price, as a list; none before a machine and an option are there."""
    told = [(name.replace(";", ","), price.strip()) for name, price in rows]
    lines = [f"{name}; {price}" for name, price in told if name and price]
    return typed_list("\n".join(lines))
