"""Controls beside the curve of the account: terms of a way of paying, and what comes otherwise."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from math import ceil

import streamlit as st

from optioneer.app.parts import show
from optioneer.app.parts.scale import nice_step
from optioneer.app.session import state
from optioneer.errors import OptioneerError
from optioneer.files.case.write import case_texts
from optioneer.model.case import Case
from optioneer.model.paying import LeasePlan, LoanPlan
from optioneer.study.cash.conditions import Conditions, case_under
from optioneer.study.cash.dates import ON_TIME, Delay
from optioneer.study.cash.plans import paying_of, plan_of

PERCENT = 0.01
"""A hundredth: how rates and shares become fractions."""


@dataclass(frozen=True)
class Control:
    """A slider of one condition.

    Parameters
    ----------
    word, label
        Its key, and what people call it.
    low, high, step, here
        Its range, and where the case stands.
    form
        How its value is shown.
    """

    word: str
    label: str
    low: float
    high: float
    step: float
    here: float
    form: str


@dataclass(frozen=True)
class Tried:
    """What the controls say.

    Parameters
    ----------
    conditions
        Other terms than those of the case.
    """

    conditions: Conditions
    delay: Delay

    @property
    def nothing(self) -> bool:
        """Whether all is as planned."""
        return self == Tried(Conditions(), ON_TIME)


def controls_of(case: Case, plan: str, needed: float) -> tuple[Control, ...]:
    """The controls of a way of paying.

    Parameters
    ----------
    case, plan
        The case, and the id of the way of paying.
    needed
        The most that would have to be in the account at the order under any way [money].
    """
    return (*_terms(case, plan, needed), *LATE, *_rates(case, plan))


LATE = (
    Control("machine", "Machine later by, weeks", -8.0, 26.0, 1.0, 0.0, "%+d"),
    Control("acceptance", "Acceptance refused, later by, weeks", 0.0, 26.0, 1.0, 0.0, "%+d"),
)
"""Controls of what may come later than planned."""


def _terms(case: Case, plan: str, needed: float) -> Iterator[Control]:
    opening, chosen = paying_of(case).account.opening, plan_of(case, plan)
    most = max(2.0 * opening, 1.25 * needed, 1.0)
    step = nice_step(most / 250)
    low, high = min(0.0, step * (opening // step)), step * ceil(most / step)
    yield Control("opening", "In the account at the order", low, high, step, opening, "localized")
    if isinstance(chosen, LoanPlan | LeasePlan):
        deposit = chosen.deposit / PERCENT
        yield Control("deposit", "Deposit", 0.0, max(60.0, deposit), 1.0, deposit, "%g %%")
        months = float(chosen.months)
        yield Control("months", "Term", 6.0, max(120.0, months), 1.0, months, "%d months")


def _rates(case: Case, plan: str) -> Iterator[Control]:
    chosen = plan_of(case, plan)
    if isinstance(chosen, LoanPlan):
        rate = chosen.rate / PERCENT
        label = "Interest a year, this loan"
        yield Control("rate", label, 0.0, max(15.0, rate), 0.05, rate, "%.2f %%")
        yield Control("points", "All loan rates higher by, points", -2.0, 5.0, 0.25, 0.0, "%+.2f")


def draw(case: Case, plan: str, needed: float) -> Tried:
    """The sliders; what they say."""
    controls = controls_of(case, plan, needed)
    held = {control.word: _slider(plan, control) for control in controls}
    tried = tried_of(controls, held)
    left, right = st.columns(2)
    left.button(
        "As planned",
        key="delay-reset",
        disabled=tried.nothing,
        on_click=partial(_reset, plan, controls),
        width="stretch",
    )
    right.button(
        "Keep in the case",
        key="keep-terms",
        disabled=tried.conditions == Conditions(),
        on_click=partial(_keep, plan, tried.conditions),
        help="Write balance and terms into the case; it can be undone.",
        width="stretch",
    )
    return tried


def _slider(plan: str, control: Control) -> float:
    key = _key(plan, control)
    state.recall(key, state.within(control.low, control.high))
    value = st.slider(
        control.label,
        control.low,
        control.high,
        control.here,
        control.step,
        format=control.form,
        key=key,
        persist_state="session",
    )
    state.note(key, value)
    return float(value)


def _key(plan: str, control: Control) -> str:
    """What may come late is the same for every way of paying, and so is the account.

    A slider whose place in the case has changed is another one: it begins there.
    """
    whose = plan if control.word in {"deposit", "months", "rate"} else ""
    return f"tried-{state.required_draft().id}-{whose}-{control.word}-{control.here:g}"


def tried_of(controls: tuple[Control, ...], held: Mapping[str, float]) -> Tried:
    """What positions of the controls mean; where the case stands nothing is other."""
    moved = {
        control.word: held[control.word]
        for control in controls
        if abs(held[control.word] - control.here) > control.step / 1e6
    }
    deposit, rate = moved.get("deposit"), moved.get("rate")
    months = moved.get("months")
    return Tried(
        Conditions(
            opening=moved.get("opening"),
            deposit=None if deposit is None else round(deposit * PERCENT, 12),
            months=None if months is None else round(months),
            rate=None if rate is None else round(rate * PERCENT, 12),
        ),
        Delay(
            moved.get("machine", 0.0),
            moved.get("acceptance", 0.0),
            round(moved.get("points", 0.0) * PERCENT, 12),
        ),
    )


def _reset(plan: str, controls: tuple[Control, ...]) -> None:
    for control in controls:
        state.set_widget(_key(plan, control), control.here)


def _keep(plan: str, conditions: Conditions) -> None:
    """The balance and the terms become those of the case."""
    stated = state.read().stated
    if stated is None:
        return
    try:
        changed = case_under(stated, plan, conditions)
        state.put_texts(case_texts(changed, state.required_draft().texts), redraw=True)
    except OptioneerError as error:
        state.tell(show.sentence_of(error))
