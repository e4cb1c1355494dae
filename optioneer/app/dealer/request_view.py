"""The request to the dealer: what is to be quoted and what is asked about it, to take along."""

from collections.abc import Callable

import streamlit as st

from optioneer.app.parts import fold, show
from optioneer.app.session import state
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.reports.faces.docx import docx_paper
from optioneer.reports.faces.email import email_text
from optioneer.reports.faces.pdf import paper_of, pdf_paper
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Page
from optioneer.reports.papers.request import first_request_page, request_page
from optioneer.study.advice.answers import Advice
from optioneer.study.dealer.first_questions import first_questions
from optioneer.study.dealer.questions import questions


def draw(case: Case, package: Package, advice: Advice | None, figures: Figures) -> None:
    """The questions that a package raises, as a page and as files.

    Parameters
    ----------
    package
        What is to be quoted; it can be ordered.
    advice
        The advice, when it is the advised package; none for another one.
    figures
        How money is said.
    """
    st.subheader("Ask the dealer")
    own = st.checkbox(
        "Also tell the dealer what you reckon retrofits will cost",
        key=f"own-figures-{state.required_draft().id}",
        persist_state="session",
    )
    asked = questions(case, package, advice=advice)
    _offer(request_page(case, package, asked, figures, own_figures=own), figures, "request")


def draw_first(case: Case, figures: Figures) -> None:
    """What a list leaves open, to be asked before there is any advice; nothing of other cases."""
    if case.sources is None:
        return
    with fold.under("Ask the dealer on the first day, before any advice", "first-request"):
        _offer(first_request_page(case, first_questions(case), figures), figures, "first")


def _offer(page: Page, figures: Figures, key: str) -> None:
    """A page as files to take along, and to be read here."""
    with st.container(horizontal=True):
        for label, name, kind, make in FILES:
            st.download_button(
                label,
                data=_file_maker(make, page, figures),
                file_name=name,
                mime=kind,
                key=f"{key}-{name}",
                on_click="ignore",
            )
    with fold.under("Read it here", key):
        show.page(page)


def _file_maker(
    make: Callable[[Page, Figures], bytes], page: Page, figures: Figures
) -> Callable[[], bytes]:
    """The file, made when it is asked for."""
    return lambda: make(page, figures)


def _letter(page: Page, _: Figures) -> bytes:
    return docx_paper(page)


def _sheet(page: Page, figures: Figures) -> bytes:
    return pdf_paper(page, foot="", paper=paper_of(figures.locale))


def _mail(page: Page, _: Figures) -> bytes:
    return email_text(page).encode("utf-8")


WORD = "application/vnd.openxmlformats-officedocument.wordprocessingml.document"
FILES: tuple[tuple[str, str, str, Callable[[Page, Figures], bytes]], ...] = (
    ("Request as a letter", "request.docx", WORD, _letter),
    ("Request as PDF", "request.pdf", "application/pdf", _sheet),
    ("Request as an e-mail", "request.txt", "text/plain", _mail),
)
"""Label, name, kind and maker of each file."""
