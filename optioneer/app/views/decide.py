"""Decide and hand on: the decision recorded, papers, what came since, asking it otherwise."""

import streamlit as st

from optioneer.app.handover import attitude, deciding, papers, since
from optioneer.app.parts import package_choice, show
from optioneer.app.session import state
from optioneer.model.case import Case
from optioneer.reports.page.cautions import cautions
from optioneer.reports.page.parts import Bullets, Heading


def page() -> None:
    """Which package, what to mind, the press that records, papers, and what came of it."""
    read = state.read()
    if read.case is None:
        show.faults(read.faults, title="Mend the case first, on the page 'The case'.")
        return
    case: Case = read.case
    figures = state.figures(case.machine.currency)
    show.show(Heading(f"{case.machine.name}: decide and hand on"))
    left, right = st.columns([1, 2], gap="large")
    with left:
        chosen = package_choice.draw(case)
        ordered, final = package_choice.package(case, chosen)
        show.show(Bullets("Before you sign", cautions(case)))
    with right:
        if ordered is not None:
            deciding.draw(case, ordered, final=final)
            papers.draw(case, ordered, figures)
        attitude.draw(case, figures)
    since.draw(case, figures)
