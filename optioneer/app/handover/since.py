"""What was paid, fitted and arrived since the decision: recorded, and compared with the plan."""

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

import streamlit as st
from pydantic import ValidationError

from optioneer.app.engine.amounts import amount_typed
from optioneer.app.engine.words import literal
from optioneer.app.handover.deciding import folder_lacks
from optioneer.app.parts import show
from optioneer.app.session import state
from optioneer.errors import OptioneerError, RequestError
from optioneer.files.plain.sentences import faults_of
from optioneer.files.record.entries import read_record, record
from optioneer.model.case import Case
from optioneer.money.cents import to_cents
from optioneer.money.ledger import KINDS
from optioneer.reports.cash.ledger import MEANINGS, kind_called
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading
from optioneer.reports.papers.history import history_page
from optioneer.study.answer import Answer
from optioneer.study.record.facts import Arrived, Fitted, PaidFact, Recorded, Withdrawn
from optioneer.study.record.since import since
from optioneer.study.record.unlikely import unlikely

PAID, FITTED, ARRIVED, WRONG = "A payment", "A retrofit", "Work that came", "A mistake"
"""What can be recorded."""

LABELS: Mapping[str, str] = {
    "cents": "The amount",
    "call_out_cents": "Of that visit, on top",
    "downtime_days": "Days the machine stood still",
    "margin": "Margin a year as it now looks",
}
"""What people call what is recorded, by its key."""


def draw(case: Case, figures: Figures) -> None:
    """The record as a page, and a form for what came."""
    st.subheader("What came of it")
    folder = state.required_draft().folder
    if folder is None or not state.folders_allowed():
        st.caption("Nothing is recorded yet: a decision comes first.")
        return
    try:
        known = read_record(folder)
    except RequestError as error:
        show.mistake(error)
        return
    _draw_record(case, known, figures)
    if known.decisions and not folder_lacks():
        _form(case, known, folder)


def _draw_record(case: Case, known: Recorded, figures: Figures) -> None:
    """The decisions, and what was paid, fitted and came beside what was planned."""
    decisions = known.decisions
    if not decisions:
        st.caption("Nothing is recorded yet: a decision comes first.")
        return
    last = decisions[max(decisions)]
    told = since(last.planned, known, state.clock().date())
    page = history_page(known, figures, name=case.name, told=told)
    show.page(tuple(part for part in page if not isinstance(part, Heading)))
    kept = st.text_input("A head that you kept elsewhere", key="kept-head").strip().lower()
    if kept:
        st.markdown(literal(comparison_sentence(known, kept)))


def comparison_sentence(known: Recorded, kept: str) -> str:
    """Whether all that a head stood for is still in the record."""
    if kept not in known.heads:
        return (
            "The record does not hold what this head stands for: it was written otherwise, or "
            "entries were cut off or written anew since. Compare it with your backups."
        )
    more = len(known.heads) - 1 - known.heads.index(kept)
    later = "nothing" if not more else f"{more} more"
    return f"All that this head stands for is there, unchanged; {later} since."


def _form(case: Case, known: Recorded, folder: Path) -> None:
    """What came, typed in; what is unlikely is asked about before it is recorded."""
    st.markdown("**Record what came**")
    kind = st.segmented_control(
        "What", [PAID, FITTED, ARRIVED, WRONG], default=PAID, required=True, key="came"
    )
    makers: Mapping[str, Callable[[Case, Recorded], Any]] = {
        PAID: _payment_typed,
        FITTED: _fitting_typed,
        ARRIVED: _arrival_typed,
        WRONG: _withdrawal_typed,
    }
    try:
        made = makers[str(kind)](case, known)
    except RequestError as error:
        show.mistake(error)
        return
    except ValidationError as error:
        found = faults_of(error, Answer, lambda path: LABELS.get(str(path[0]), str(path[0])))
        show.faults(found, title="This cannot be recorded.")
        return
    if made is None:
        return
    fact, corrects = made
    decisions = known.decisions
    doubts = (
        () if isinstance(fact, Withdrawn) else unlikely(fact, decisions[max(decisions)].planned)
    )
    sure = not doubts or st.checkbox(
        literal(f"{'; '.join(doubts)}. It is right all the same."), key="came-sure"
    )
    put = partial(_put, folder, fact, corrects)
    st.button("Record it", key="came-put", disabled=not sure, on_click=put)


def _put(folder: Path, fact: Any, corrects: int | None) -> None:
    try:
        entry = record(folder, fact, corrects=corrects)
    except OptioneerError as error:
        state.tell(show.sentence_of(error))
    else:
        state.tell(f"Recorded as entry {entry.number}.")


def _day() -> Any:
    return st.date_input("Day", value=state.clock().date(), format="YYYY-MM-DD", key="came-day")


def _cents(case: Case, label: str, key: str) -> int | None:
    """An amount as people write it, in cents; none while nothing is typed."""
    typed = st.text_input(f"{label}, {case.machine.currency}", key=key)
    if not typed.strip():
        return None
    amount = amount_typed(typed)
    if amount < 0:
        raise RequestError(f"{label}: {typed.strip()} is below zero. Write 0 or more.")
    return to_cents(amount, case.machine.currency)


def _payment_typed(case: Case, _: Recorded) -> tuple[PaidFact, None] | None:
    left, right = st.columns(2)
    with left:
        day, cents = _day(), _cents(case, "Amount paid", "came-amount")
        back = st.checkbox("It came in instead of going out", key="came-back")
    with right:
        kind = st.selectbox(
            "What for",
            list(KINDS),
            format_func=lambda one: f"{kind_called(one)}: {MEANINGS[one]}",
            key="came-kind",
        )
        payee = st.text_input("To or from whom", key="came-payee", max_chars=80)
    if cents is None:
        return None
    fact = {"date": day, "cents": cents if back else -cents, "kind": kind, "payee": payee}
    return PaidFact.model_validate(fact), None


def _fitting_typed(case: Case, _: Recorded) -> tuple[Fitted, None] | None:
    names = {one.option: one.name for one in case.catalogue.options if one.retrofittable}
    left, right = st.columns(2)
    with left:
        option = st.selectbox(
            "Option", list(names), format_func=names.__getitem__, key="came-option"
        )
        day, cents = _day(), _cents(case, "Its bill", "came-amount")
    with right:
        visit = _cents(case, "Of that visit, on top", "came-visit")
        days = st.text_input("Days the machine stood still", key="came-days")
    if cents is None or option is None:
        return None
    fact = {
        "date": day,
        "option": option,
        "cents": cents,
        "call_out_cents": visit or 0,
        "downtime_days": amount_typed(days) if days.strip() else None,
    }
    return Fitted.model_validate(fact), None


def _arrival_typed(case: Case, _: Recorded) -> tuple[Arrived, None] | None:
    names = {one.id: one.name or one.id for one in case.growth.stream}
    left, right = st.columns(2)
    stream = left.selectbox("Work", list(names), format_func=names.__getitem__, key="came-stream")
    with left:
        day = _day()
    typed = right.text_input(
        f"Margin a year as it now looks, {case.machine.currency}", key="came-margin"
    )
    if not names:
        return None
    margin = amount_typed(typed) if typed.strip() else None
    return Arrived.model_validate({"date": day, "stream": stream, "margin": margin}), None


def _withdrawal_typed(_: Case, known: Recorded) -> tuple[Withdrawn, int] | None:
    """That an entry counts no more; both stay."""
    gone = known.corrected
    numbers = [
        one.number
        for one in known.entries
        if isinstance(one.what, PaidFact | Fitted | Arrived) and one.number not in gone
    ]
    if not numbers:
        st.caption("Nothing is recorded that could be a mistake.")
        return None
    number = st.selectbox("Entry that was a mistake", numbers, key="came-entry")
    note = st.text_input("Why", key="came-note", max_chars=200)
    return Withdrawn(note=note), int(number or numbers[0])
