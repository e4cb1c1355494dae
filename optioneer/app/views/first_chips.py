"""To first chips: what the site lacks, what to buy, whom to book, and when the machine earns."""

from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.words import literal
from optioneer.app.parts import fold, missing_part, package_choice, show
from optioneer.app.road import checklist, floor_picture, late_view, tasks_picture
from optioneer.app.road.called import with_names
from optioneer.app.session import state
from optioneer.model.case import Case
from optioneer.reports.page.cautions import cautions
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Heading, Paragraph
from optioneer.reports.ready.page import (
    NONE,
    bookings_table,
    chips_days,
    dates_table,
    figures_table,
    first_chips_sentences,
    grounds,
    needs_table,
    readiness_sentence,
    reserve_parts,
    shopping_table,
)
from optioneer.study.needs.answers import Need
from optioneer.study.ready.answers import Readiness

LACKING = "This case says nothing yet about the place where the machine goes."
STEPS = (
    "The shop: voltage, service, floor, ceiling, and the places where the machine will stand.",
    (
        "The machine's needs, from its nameplate and installation drawing; leave out what you do "
        "not know, it is shown as missing and never taken for zero."
    ),
    "Compressed air, openings on the way in, and what stands there now with where it goes instead.",
    "What can be bought, suppliers and trades with their notice and prices.",
    "Tasks, working days and the plan; the usual tasks are known without being listed.",
)
"""What to fill in before anything can be said of the site."""


def page() -> None:
    """Choose a package; then readiness, shortfalls, shopping, the plan, moves, what if."""
    read = state.read()
    if read.case is None:
        show.faults(read.faults, title="Mend the case first, on the page 'The case'.")
        return
    case = read.case
    show.show(Heading(f"{case.machine.name}: the road to first chips"))
    if case.site is None:
        missing_part.draw(LACKING, STEPS, "Site")
        return
    chosen = package_choice.draw(case)
    ordered, _ = package_choice.package(case, chosen)
    if ordered is None:
        return
    package_choice.what_is_in(case, ordered)
    told = cached.readiness(case, ordered)
    answer = with_names(case.site, told)
    figures = state.figures(case.machine.currency)
    _answer(answer, figures)
    _needs(answer.needs, figures)
    show.page(tuple(reserve_parts(case, answer, figures)))
    show.show(shopping_table(answer, figures))
    _plan(answer, figures)
    show.show(bookings_table(answer))
    checklist.draw(case.site, told)
    floor_picture.draw(case, answer, figures)
    late_view.draw(case, ordered, told, figures)
    _grounds(answer, figures)
    _mind(case, answer)


def _answer(answer: Readiness, figures: Figures) -> None:
    """The main answer: what is short, the chance of being ready, when first chips come."""
    st.caption(literal(" ".join(answer.standing)))
    show.show(Paragraph(readiness_sentence(answer, figures), strong=True))
    ready = answer.ready_on_delivery_chance
    _, p50, p80, p95 = chips_days(answer)
    told = {
        "Ready on delivery": NONE if ready is None else figures.share(ready),
        "First chips, even odds (P50)": p50,
        "Four in five (P80)": p80,
        "Nineteen in twenty (P95)": p95,
    }
    with st.container(horizontal=True, gap="medium"):
        for label, said in told.items():
            st.metric(label, said, width="content")
    for sentence in first_chips_sentences(answer, figures):
        show.show(Paragraph(sentence))


def _needs(needs: Sequence[Need], figures: Figures) -> None:
    """What is short, tight or unknown first; what is enough behind a click."""
    open_ones = [need for need in needs if need.status != "ok"]
    enough = [need for need in needs if need.status == "ok"]
    if open_ones:
        show.show(replace(needs_table(open_ones, figures), title="What the site lacks"))
    else:
        show.show(Paragraph("Nothing the machine needs of the site is short, tight or unknown."))
    with fold.under(f"What there is enough of ({len(enough)})", "enough"):
        show.show(replace(needs_table(enough, figures), title="What there is enough of"))


def _plan(answer: Readiness, figures: Figures) -> None:
    """The tasks over time, and the table behind them."""
    st.subheader("The plan")
    tasks_picture.draw(answer, dates_table(answer.tasks, figures))


def _grounds(answer: Readiness, figures: Figures) -> None:
    """What was not given, and where figures come from."""
    if answer.missing:
        show.show(Bullets("Not given", answer.missing))
    with fold.under("Figures for the talk with the trades, and where they come from", "trades"):
        show.show(figures_table(answer, figures))
        show.show(Bullets("Grounds", tuple(grounds(answer))))


def _mind(case: Case, answer: Readiness) -> None:
    """What to mind wherever the work can hurt somebody, or the purse."""
    show.show(Bullets("To go through with the licensed electrician", answer.electrician))
    show.show(Bullets("Mind", answer.cautions))
    show.show(Bullets("Before you sign", cautions(case)))
