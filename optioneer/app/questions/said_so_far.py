"""What was answered so far, answers that differ, and what can be asked once more."""

from functools import partial

import streamlit as st

from optioneer.app.engine.words import literal
from optioneer.app.parts import show
from optioneer.app.questions import talk
from optioneer.app.session import state
from optioneer.model.case import Case
from optioneer.model.origin import Origin
from optioneer.model.sources import disagreements
from optioneer.reports.asking.beliefs import said_of
from optioneer.reports.asking.questions import question_text
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Table
from optioneer.study.asking.conversation import answers_given, figures_by_key
from optioneer.study.worth.figures import Figure


def draw(case: Case, figures: Figures) -> None:
    """Answers, the last first; what differs stands side by side."""
    given = answers_given(case)
    differ = disagreements(case)
    if differ:
        st.subheader("Answers that differ")
        show.show(differing_table(case, figures))
        st.caption("Nothing that was said is overwritten. Ask once more to settle it.")
    if given:
        st.subheader(f"Answered so far: {len(given)}")
        show.show(answered_table(case, given, figures))
    _again(case, [*(one.key for one in given), *differ])
    if state.last_note(talk.OPEN):
        st.button(
            f"Ask what was left open ({len(state.last_note(talk.OPEN))})",
            key="ask-left",
            on_click=talk.ask_what_was_left,
        )


def answered_table(case: Case, given: tuple[Origin, ...], figures: Figures) -> Table:
    """Answers, the last first."""
    rows = tuple(
        (*said_of(case, one.key, one.value, figures), one.who, _day(one)) for one in reversed(given)
    )
    return Table("", ("figure", "read as", "by", "on"), rows, text_last=True)


def differing_table(case: Case, figures: Figures) -> Table:
    """Words that differ, each beside the others."""
    rows = tuple(
        (*said_of(case, key, one.value, figures), one.who or one.source, _day(one))
        for key, words in disagreements(case).items()
        for one in words
    )
    return Table("", ("figure", "said", "by", "on"), rows, text_last=True)


def _day(one: Origin) -> str:
    return "" if one.date is None else one.date.isoformat()


def _again(case: Case, keys: list[str]) -> None:
    known = figures_by_key(case)
    names: dict[str, Figure] = {}
    for key in dict.fromkeys(keys):
        if key in known:
            figure = known[key]
            names[question_text(case, figure.what, figure.name)] = figure
    if not names:
        return
    left, right = st.columns([4, 1], vertical_alignment="bottom")
    chosen = left.selectbox(
        "Answer one of them again",
        list(names),
        index=None,
        format_func=literal,
        key="ask-again",
        placeholder="Choose a question",
    )
    right.button(
        "Ask it",
        key="ask-again-go",
        disabled=chosen is None,
        on_click=partial(talk.ask_for, names[chosen]) if chosen else None,
    )
