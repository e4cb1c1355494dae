"""Papers that travel: report, calendar, results workbook, each made when it is asked for."""

from collections.abc import Callable

import streamlit as st

import optioneer
from optioneer.app.engine import cached
from optioneer.app.engine.drawings import report_pictures
from optioneer.app.session import state
from optioneer.errors import RequestError
from optioneer.files.record.entries import read_record
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.reports.asking.acting import reminders
from optioneer.reports.faces.calendar import calendar_file
from optioneer.reports.faces.html import html_paper
from optioneer.reports.faces.pdf import paper_of, pdf_paper
from optioneer.reports.page.money import Figures
from optioneer.reports.papers.history import kept_head
from optioneer.reports.papers.report import foot, report
from optioneer.study.papers.diary import due_days, reminder

DAYS = "text/calendar"
SHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def draw(case: Case, ordered: Package, figures: Figures) -> None:
    """A button a paper."""
    st.subheader("Hand on")
    st.caption("Each is made when you press it, from the full answer; that may take a moment.")
    files: tuple[tuple[str, str, str, Callable[[], bytes]], ...] = (
        ("Report as PDF", "report.pdf", "application/pdf", lambda: _report(case, figures, "pdf")),
        ("Report as a web page", "report.html", "text/html", lambda: _report(case, figures, "")),
        (
            "Calendar of all days",
            "days.ics",
            "text/calendar",
            lambda: _days(case, ordered, figures),
        ),
        ("Results as a workbook", "results.xlsx", SHEET, lambda: cached.results_file(case)),
    )
    with st.container(horizontal=True):  # one that has no room stands in the next line
        for label, name, kind, make in files:
            st.download_button(
                label,
                data=make,
                file_name=name,
                mime=kind,
                key=f"paper-{name}",
                on_click="ignore",
            )


def _record_words() -> str:
    """What a paper that travels says of the record of the case; '' where nothing is recorded."""
    folder = state.required_draft().folder
    if folder is None or not state.folders_allowed():
        return ""
    try:
        return kept_head(read_record(folder))
    except RequestError as error:
        return f"The record of the case cannot be read. {error}"


def _report(case: Case, figures: Figures, kind: str) -> bytes:
    told, version = cached.whole_answer(case), optioneer.__version__
    page = report(
        told,
        figures,
        pictures=report_pictures(told, figures),
        version=version,
        record=_record_words(),
    )
    if kind == "pdf":
        return pdf_paper(page, foot=foot(told, version), paper=paper_of(figures.locale))
    return html_paper(page).encode("utf-8")


def _days(case: Case, ordered: Package, figures: Figures) -> bytes:
    now = state.clock().replace(microsecond=0)
    told = cached.whole_answer(case)
    held = {(one.options, one.without) for one in (ordered, told.package)}
    waits = told.acting if len(held) == 1 else None
    words = () if waits is None else tuple(reminders(case, waits, figures))
    found = (*due_days(case, ordered), *reminder(case, words))
    return calendar_file(case.name, found, figures, now=now, record=_record_words())
