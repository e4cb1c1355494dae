"""A case from a dealer's list: what is open is asked line by line, then the case is made."""

from datetime import date

import streamlit as st

from optioneer.app.engine.drafts import new_draft
from optioneer.app.engine.settings import LARGEST_UPLOAD
from optioneer.app.engine.words import literal
from optioneer.app.parts import show
from optioneer.app.session import state
from optioneer.errors import CaseError, OptioneerError
from optioneer.files.case.texts import spoken_name
from optioneer.files.case.write import case_texts
from optioneer.files.quote.amounts import spelled
from optioneer.files.quote.first_list import listing, price_columns
from optioneer.files.quote.mapping import QuoteMapping
from optioneer.model.kinds.kind import NOT_PLACED
from optioneer.model.kinds.usual import usual_kinds
from optioneer.study.start.doubtful_lines import (
    asked_later,
    at_price,
    comes_along,
    is_discount,
    left_out,
    of_kind,
)
from optioneer.study.start.list_lines import Listing, ListLine
from optioneer.study.start.new_case import EVERYDAY, Wishes, new_case

KINDS = ("csv", "tsv", "txt", "xlsx")
"""Endings of what is taken."""

LATER, ALONG, OUT = "Ask later", "Comes with the machine", "Leave it out"


def draw() -> None:
    """Take a list, ask what is open, and open the case that it makes."""
    st.subheader("Start from a dealer's list")
    given = st.file_uploader(
        f"The list as CSV or a workbook, {LARGEST_UPLOAD} MB at most",
        type=list(KINDS),
        key="list-upload",
    )
    if given is None:
        return
    try:
        _asked(given.name, given.getvalue())
    except CaseError as error:
        show.faults(error.faults, title="This list cannot be read.")
    except OptioneerError as error:
        st.error(literal(str(error)))


def _asked(name: str, data: bytes) -> None:
    rivals = price_columns(data, name)
    told = QuoteMapping()
    if rivals:
        column = st.selectbox("Which column holds the price?", rivals, key="list-column")
        told = QuoteMapping(columns={"price": str(column)})
    found = listing(data, name, told)
    wishes = _wishes(found)
    if wishes is None:
        return
    settled = found.settled({one.row: _settled(one, wishes.machine) for one in found.open})
    title = spoken_name(name.rpartition(".")[0] or name, "my-machine")
    case = new_case(title, settled.marked(), wishes)
    streams = [one for one in case.growth.stream if one.id != EVERYDAY]
    never = st.multiselect(
        "Which of this work would you never do?",
        [one.id for one in streams],
        format_func={one.id: literal(one.name) for one in streams}.__getitem__,
        key="list-never",
    )
    if st.button("Make the case", key="list-make", type="primary"):
        made = new_case(title, settled.marked(), _with(wishes, never=tuple(never)))
        state.open_draft(new_draft(title, case_texts(made, {})))
        st.rerun()


def _with(wishes: Wishes, *, never: tuple[str, ...]) -> Wishes:
    return Wishes(**{**vars(wishes), "never": never})


def _wishes(found: Listing) -> Wishes | None:
    """What is said of the purchase; none while the currency is missing."""
    kinds = usual_kinds().machines
    kind = st.selectbox(
        "What kind of machine is it?",
        list(kinds),
        index=list(kinds).index(found.machine) if found.machine else None,
        format_func=lambda one: kinds[one].name,
        key="list-machine",
    )
    code = st.text_input("Currency of the prices, e.g. EUR", found.currency, key="list-currency")
    quoted = st.date_input("Day of the quote", state.clock().date(), key="list-quoted")
    offered = {one.row: one.text for one in found.of("option") if not one.included}
    must = st.multiselect(
        "What do you want whatever it costs?",
        list(offered),
        format_func=lambda row: literal(offered[row]),
        key="list-must",
    )
    if not kind or not code.strip() or not isinstance(quoted, date):
        st.info("Say what kind of machine it is, and in which currency the prices are.")
        return None
    return Wishes(machine=kind, currency=code.strip().upper(), quoted=quoted, must=tuple(must))


def _settled(line: ListLine, machine: str) -> ListLine:
    """A line that is open, as somebody has settled it."""
    said = f"Row {line.row}: {line.text}, {line.written}"
    if is_discount(line):
        off = st.checkbox(literal(f"{said}: off the machine's price"), key=f"list-off-{line.row}")
        return comes_along(line) if off else line
    return _priced(_placed(line, machine, said), said)


def _placed(line: ListLine, machine: str, said: str) -> ListLine:
    if line.placed:
        return line
    known = {kind.id: kind for kind in usual_kinds().kind if machine in kind.machines}
    known.pop(NOT_PLACED)
    first = [kind for kind in line.candidates if kind in known]
    rest = sorted(known.keys() - set(first), key=lambda kind: known[kind].name)
    names = {LATER: LATER, ALONG: ALONG, OUT: OUT} | {one: known[one].name for one in known}
    choice = st.selectbox(
        literal(f"{said}: what is it?"),
        [LATER, *first, ALONG, OUT, *rest],
        format_func=names.__getitem__,
        key=f"list-kind-{line.row}",
    )
    special = {LATER: asked_later, ALONG: comes_along, OUT: left_out}
    return special[choice](line) if choice in special else of_kind(line, choice)


def _priced(line: ListLine, said: str) -> ListLine:
    if not line.asks or line.role == "left out":
        return line
    typed = st.text_input(
        literal(f"{said}: {line.asks} Its price in all"), key=f"list-price-{line.row}"
    )
    readings = spelled(typed.strip()).readings
    sure = readings[0] if len(readings) == 1 and readings[0] >= 0 else None
    if typed.strip() and sure is None:
        st.error("This is no amount; write digits, e.g. 4200 or 4200.50.")
    return at_price(line, sure)
