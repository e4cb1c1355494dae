"""What if tasks take longer: sliders for some of them, and first chips before and after."""

from typing import Any

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.words import literal
from optioneer.app.parts import show
from optioneer.app.session import state
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.reports.page.money import Figures
from optioneer.reports.ready.late import late_table
from optioneer.study.ready.answers import Readiness

FORTNIGHT = 14
"""Where a slider starts [days]: what has just been picked is to be seen."""

EARLIEST, LATEST = -60, 180
"""Range of a slider [days]."""


def draw(case: Case, ordered: Package, planned: Readiness, figures: Figures) -> None:
    """Pick tasks, say by how much, and see what it does."""
    st.subheader("What if tasks take longer")
    shifts = _shifts(planned)
    if not shifts:
        st.caption("Pick a task to see what it does to first chips when it takes longer.")
        return
    late = cached.readiness(case, ordered, shifts)
    show.show(late_table(planned, late, figures))


def _shifts(planned: Readiness) -> tuple[tuple[str, float], ...]:
    """Days by task, as picked."""
    draft = state.required_draft().id
    names = {task.id: task.name for task in planned.tasks if max(task.days) > 0}
    key = f"late-{draft}"
    state.recall(key, lambda tasks: set(tasks) <= set(names))
    picked = st.multiselect(
        "Tasks that take longer or shorter",
        list(names),
        format_func=names.__getitem__,
        key=key,
        persist_state="session",
    )
    state.note(key, list(picked))
    columns = st.columns(3)
    return tuple(
        (task, _days(columns[place % 3], f"{key}-{task}", names[task]))
        for place, task in enumerate(picked)
    )


def _days(column: Any, key: str, name: str) -> float:
    """How many days longer a task takes."""
    state.recall(key, state.within(EARLIEST, LATEST))
    days = column.slider(
        f"{literal(name)}, days longer",
        EARLIEST,
        LATEST,
        FORTNIGHT,
        format="%+d",
        key=key,
        persist_state="session",
    )
    state.note(key, days)
    return float(days)
