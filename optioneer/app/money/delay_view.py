"""What becomes of the money when the machine, its acceptance or the rates come otherwise."""

from collections.abc import Mapping
from dataclasses import replace

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.parts import show
from optioneer.app.session import state
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.reports.cash.page import delays_table
from optioneer.reports.page.money import Figures
from optioneer.study.cash.dates import ON_TIME, Delay
from optioneer.study.cash.delays import USUAL

POINT = 0.01
"""A point of a rate, as a fraction."""

SLIDERS: Mapping[str, tuple[str, float, float, float, str]] = {
    "machine": ("Machine later by, weeks", -8.0, 26.0, 1.0, "%+d"),
    "acceptance": ("Acceptance refused, later by, weeks", 0.0, 26.0, 1.0, "%+d"),
    "rate": ("Loan rates higher by, points", -2.0, 5.0, 0.25, "%+.2f"),
}
"""Label, least, most, step and form of each slider."""


def draw(case: Case, ordered: Package, figures: Figures) -> None:
    """Sliders, what they do to every way of paying, and the usual delays."""
    st.subheader("If it comes otherwise")
    asked = _asked()
    told = delays_table(cached.delayed(case, ordered, {delay_words(asked): asked}), figures)
    show.show(replace(told, title="Every way of paying"))
    with st.expander("Usual delays"):
        usual = delays_table(cached.delayed(case, ordered, USUAL), figures)
        show.show(replace(usual, title="Usual delays"))


def _key(word: str) -> str:
    return f"delay-{word}-{state.required_draft().id}"


def _asked() -> Delay:
    """The delay that the sliders say."""
    columns = st.columns([2, 2, 2, 1], vertical_alignment="bottom")
    values = {}
    for column, (word, (label, low, high, step, form)) in zip(
        columns, SLIDERS.items(), strict=False
    ):
        state.recall(_key(word), state.within(low, high))
        values[word] = column.slider(
            label, low, high, 0.0, step, format=form, key=_key(word), persist_state="session"
        )
        state.note(_key(word), values[word])
    columns[-1].button(
        "As planned", key="delay-reset", disabled=not any(values.values()), on_click=_reset
    )
    return Delay(values["machine"], values["acceptance"], values["rate"] * POINT)


def _reset() -> None:
    for word in SLIDERS:
        state.set_widget(_key(word), 0.0)


def delay_words(delay: Delay) -> str:
    """A delay in words.

    Examples
    --------
    >>> said(Delay(machine_weeks=-4, rate_points=0.0125))
    'machine 4 weeks early, rates 1.25 points higher'
    """
    if delay == ON_TIME:
        return "as planned"
    parts = []
    if weeks := delay.machine_weeks:
        parts.append(f"machine {abs(weeks):g} weeks {'late' if weeks > 0 else 'early'}")
    if weeks := delay.acceptance_weeks:
        parts.append(f"acceptance refused, {weeks:g} weeks later")
    if points := delay.rate_points / POINT:
        parts.append(f"rates {abs(points):g} points {'higher' if points > 0 else 'lower'}")
    return ", ".join(parts)
