"""The ledger of a way of paying: search it, see that it adds up, take it along."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import partial

import streamlit as st

from optioneer.app.engine.words import literal
from optioneer.app.parts import show
from optioneer.app.session import state
from optioneer.reports.cash.ledger import (
    MEANINGS,
    Wanted,
    found_entries,
    kind_called,
    kinds_in,
    ledger_table,
    reconciliation,
)
from optioneer.reports.faces.cash_csv import cash_csv
from optioneer.reports.page.money import Figures
from optioneer.study.cash.answers import PlanCash
from optioneer.study.cash.cash import CashStudy, PlanLedger

SHOWN = 40
"""Entries shown at first."""

ALL = 100_000
"""As many entries as there are."""


def draw(study: CashStudy, ledger: PlanLedger, names: Mapping[str, str], figures: Figures) -> None:
    """Whether it adds up, downloads, search, entries; `names` of the ways of paying by id."""
    st.subheader("The ledger")
    plan = ledger.answer.model_copy(update={"id": names[ledger.answer.id]})
    show.page(reconciliation(replace(ledger, answer=plan), figures))
    _downloads(study, ledger, plan.id)
    found = found_entries(plan, _filter_chosen(plan))
    every = len(found) > SHOWN and st.toggle(
        f"Show all {len(found)} entries", key="every-entry", persist_state="session"
    )
    show.show(ledger_table(plan, found, figures, most=ALL if every else SHOWN))


def _downloads(study: CashStudy, ledger: PlanLedger, name: str) -> None:
    """Tables made when asked for: this way of paying, or all of them."""
    with st.container(horizontal=True):
        _download(f"Download the whole ledger of '{literal(name)}' (CSV)", study, (ledger,))
        if len(study.ledgers) > 1:
            _download("Download the ledgers of all ways (CSV)", study, study.ledgers)


def _download(label: str, study: CashStudy, ledgers: Sequence[PlanLedger]) -> None:
    name = ledgers[0].answer.id if len(ledgers) == 1 else "all"
    st.download_button(
        label,
        data=partial(ledger_file, study, ledgers),
        file_name=f"ledger-{name}.csv",
        mime="text/csv",
        key="ledger-one" if len(ledgers) == 1 else "ledger-all",
        on_click="ignore",
    )


def ledger_file(study: CashStudy, ledgers: Sequence[PlanLedger]) -> bytes:
    """Some of the ledgers as a file for a spreadsheet."""
    return cash_csv(replace(study, ledgers=tuple(ledgers))).encode()


def _filter_chosen(plan: PlanCash) -> Wanted:
    """What is looked for."""
    draft = state.required_draft().id
    kinds, text, days = st.columns([3, 2, 2])
    there = kinds_in(plan)
    chosen = kinds.multiselect(
        "Kinds (none: all)",
        list(MEANINGS),
        format_func=lambda kind: f"{kind_called(kind)}: {MEANINGS[kind]}",
        key=f"ledger-kinds-{draft}",
        persist_state="session",
    )
    asked = text.text_input(
        "What or who is paid, contains", key=f"ledger-text-{draft}", persist_state="session"
    )
    first, last = _days(days, plan, draft)
    return Wanted(chosen or there, asked, first, last)


def _days(
    place: "st.delta_generator.DeltaGenerator", plan: PlanCash, draft: str
) -> tuple[date, date]:
    """From which to which day; from the first to the last entry while only one is given."""
    ends = (plan.entries[0].date, plan.entries[-1].date)
    asked = place.date_input(
        "From and to",
        value=ends,
        min_value=ends[0],
        max_value=ends[1],
        key=f"ledger-days-{draft}-{ends[0]}-{ends[1]}",
        format="YYYY-MM-DD",
    )
    match asked:
        case (first, last):
            return first, last
        case _:
            return ends
