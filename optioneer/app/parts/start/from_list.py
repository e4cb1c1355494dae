"""A case from a dealer's list: what is open is asked line by line, then the case is made."""

from dataclasses import replace
from datetime import date

import streamlit as st

from optioneer.app.engine.amounts import amount_typed
from optioneer.app.engine.drafts import new_draft
from optioneer.app.engine.words import literal
from optioneer.app.parts import show
from optioneer.app.parts.start import ways_to_begin
from optioneer.app.session import state
from optioneer.errors import CaseError, OptioneerError
from optioneer.files.case.texts import spoken_name
from optioneer.files.case.write import case_texts
from optioneer.files.quote.amounts import readings_of
from optioneer.files.quote.first_list import listing, price_columns
from optioneer.files.quote.mapping import QuoteMapping
from optioneer.model.case import Case
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
from optioneer.study.start.new_case import EVERYDAY, SIGNED_IN, Wishes, new_case

LATER, ALONG, OUT = "Ask later", "Comes with the machine", "Leave it out"


def draw() -> None:
    """Take a list, ask what is open, and open the case that it makes."""
    st.subheader("Start from what the dealer offers")
    told = ways_to_begin.list_given()
    if told is None:
        return
    try:
        _ask_and_make(*told)
    except CaseError as error:
        show.faults(error.faults, title="This list cannot be read.")
    except OptioneerError as error:
        show.mistake(error)


def _ask_and_make(name: str, data: bytes) -> None:
    rivals = price_columns(data, name)
    told = QuoteMapping()
    if rivals:
        column = st.selectbox("Which column holds the price?", rivals, key="list-column")
        told = QuoteMapping(columns={"price": str(column)})
    found = listing(data, name, told)
    st.caption(literal(how_read(found)))
    wishes = _wishes(found)
    if wishes is None:
        return
    lines = {one.row: _line_answered(one, wishes.machine) for one in found.open}
    title = spoken_name(name.rpartition(".")[0] or bare_name(found), "our machine")
    settled = found.settled(lines).marked()
    wishes = _of_the_work(new_case(title, settled, wishes), wishes)
    if st.button("Make the case", key="list-make", type="primary"):
        made = new_case(title, settled, wishes)
        state.open_draft(new_draft(title, case_texts(made, {})))
        st.rerun()


def how_read(found: Listing) -> str:
    """How the lines of a list were read, in a sentence."""
    out = [f"{one.text} ({one.why})" for one in found.of("left out") if one.written]
    left = f" Left out: {'; '.join(out)}." if out else ""
    options, asked = len(found.of("option")), len(found.open)
    told = "1 option is on it" if options == 1 else f"{options} options are on it"
    return f"{told}; {asked or 'no'} of its lines are asked about below.{left}"


def bare_name(found: Listing) -> str:
    """What the machine is called, for the name of the case; '' where no line is it."""
    return next((line.text for line in found.of("machine")), "")


def _of_the_work(case: Case, wishes: Wishes) -> Wishes:
    """What is said of the work: what a day leaves, and what is never done."""
    usual = state.figures(case.machine.currency).about(case.machine.margin_per_day)
    typed = st.text_input(
        "What does a working day of this machine leave, after material, tools and wages?",
        placeholder=f"Blank: as usual, {usual}",
        key="list-day",
    )
    streams = [one for one in case.growth.stream if one.id != EVERYDAY]
    never = st.multiselect(
        "Which of this work would you never do?",
        [one.id for one in streams],
        format_func={one.id: literal(one.name) for one in streams}.__getitem__,
        key="list-never",
    )
    day = amount_typed(typed) if typed.strip() else None
    return replace(wishes, never=tuple(never), margin_per_day=day)


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
    left, right = st.columns(2)
    today = state.clock().date()
    quoted = left.date_input("Day of the quote", today, key="list-quoted")
    order = right.date_input("When do you expect to sign?", today + SIGNED_IN, key="list-order")
    offered = {one.row: one.text for one in found.of("option") if not one.included}
    must = st.multiselect(
        "What do you want whatever it costs?",
        list(offered),
        format_func=lambda row: literal(offered[row]),
        key="list-must",
    )
    dated = all(isinstance(day, date) for day in (quoted, order))  # a day can be wiped out
    if not kind or not code.strip() or not dated:
        st.info("Say what kind of machine it is, and in which currency the prices are.")
        return None
    currency = code.strip().upper()
    return Wishes(machine=kind, currency=currency, quoted=quoted, order=order, must=tuple(must))


def _line_answered(line: ListLine, machine: str) -> ListLine:
    """A line that is open, as somebody has settled it."""
    said = f"Row {line.row}: {line.text}, {line.written}"
    if is_discount(line):
        off = st.checkbox(literal(f"{said}: off the machine's price"), key=f"list-off-{line.row}")
        return comes_along(line) if off else line
    return _line_priced(_line_placed(line, machine, said), said)


def _line_placed(line: ListLine, machine: str, said: str) -> ListLine:
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


def _line_priced(line: ListLine, said: str) -> ListLine:
    if not line.asks or line.role == "left out":
        return line
    typed = st.text_input(
        literal(f"{said}: {line.asks} Its price in all"), key=f"list-price-{line.row}"
    )
    readings = readings_of(typed.strip()).readings
    sure = readings[0] if len(readings) == 1 and readings[0] >= 0 else None
    if typed.strip() and sure is None:
        st.error("This is no amount; write digits, e.g. 4200 or 4200.50.")
    return at_price(line, sure)
