"""A picture of a question: what is believed, what an answer would mean, where verdicts turn."""

import streamlit as st

from optioneer.app.engine.words import escaped, literal
from optioneer.app.parts import show
from optioneer.charts.beliefs import beliefs_chart
from optioneer.model.case import Case
from optioneer.reports.asking.beliefs import (
    PRICES,
    SHARES,
    asked_value,
    belief_rows,
    belief_sentence,
    of_ten,
    of_ten_sentence,
    turn_marks,
    verdict_turn_sentence,
)
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Table
from optioneer.study.asking.answers import VerdictTurn
from optioneer.study.asking.beliefs import Belief, belief, unit_of
from optioneer.study.worth.figures import Figure, What

NOW, ANSWER = "What the case says", "Your answer"

MOST_TURNS = 6
"""Verdicts whose points are drawn."""


def draw(
    case: Case,
    after: Case | None,
    figure: Figure,
    turning: tuple[VerdictTurn, ...],
    figures: Figures,
) -> None:
    """What the case says of a figure and an answer to it, against where verdicts turn.

    Parameters
    ----------
    case
        Before an answer.
    after
        With it; none while there is none.
    figure
        What is asked for.
    turning
        Where verdicts turn.
    figures
        How figures are written.
    """
    named = [(NOW, belief(case, figure))]
    if after is not None:
        named.append((ANSWER, belief(after, figure)))
    unit = unit_of(case, figure)
    turns = tuple(one.model_copy(update={"at": one.at * unit}) for one in turning[:MOST_TURNS])
    sentences = [
        f"{whose}: {belief_sentence(figure.what, found, figures)}." for whose, found in named
    ]
    _chart(named, turns, figure.what, figures)
    st.markdown("  \n".join(map(literal, sentences)))
    if figure.what == "chance":
        _ten(named[-1][1])
    _turns(case, turns, figure.what, figures)


def _chart(
    named: list[tuple[str, Belief]], turns: tuple[VerdictTurn, ...], what: What, figures: Figures
) -> None:
    shapes, sure = belief_rows(named)
    form = ".0%" if what in SHARES else "~s" if what in PRICES else "~g"
    seen = [x for _, one in named for x in (one.low, one.high)] + [one.at for one in turns]
    marks = turn_marks(turns, max(seen) - min(seen))
    drawn = beliefs_chart(
        shapes, sure, marks, names=[{"whose": whose} for whose, _ in named], form=form
    )
    meaning = " ".join(f"{whose}: {belief_sentence(what, one, figures)}." for whose, one in named)
    show.charts({meaning: drawn}, show.Behind((beliefs_table(named, what, figures),), "beliefs"))


def beliefs_table(named: list[tuple[str, Belief]], what: What, figures: Figures) -> Table:
    """The corners of what is drawn."""
    rows = tuple(
        (whose, *(asked_value(what, value, figures) for value in (one.low, one.likely, one.high)))
        for whose, one in named
    )
    return Table("", ("", "at least", "likeliest", "at most"), rows)


def _ten(found: Belief) -> None:
    """Ten orders as squares: those that come at least, likely, at most."""
    least, likely, most = of_ten(found)
    kinds = (
        "sure" if n < least else "likely" if n < likely else "perhaps" if n < most else ""
        for n in range(10)
    )
    squares = "".join(f'<i class="{kind}"></i>' for kind in kinds)
    said = escaped(of_ten_sentence(found))
    st.html(f'<div class="ten" role="img" aria-label="{said}">{squares}</div><p>{said}</p>')


def _turns(case: Case, turns: tuple[VerdictTurn, ...], what: What, figures: Figures) -> None:
    """What the strokes in the picture mean."""
    if not turns:
        st.caption("Alone it turns no verdict where it may lie; together with others it may.")
        return
    st.markdown("**Where verdicts turn**")
    lines = [
        f"{place}. {literal(verdict_turn_sentence(case, what, one, figures))}."
        for place, one in enumerate(turns, 1)
    ]
    st.markdown("\n".join(lines))
