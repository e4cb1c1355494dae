"""Which verdict holds where along one driver, always in sight beside the sliders."""

from functools import partial

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.words import SAID, SIGNS, literal
from optioneer.app.parts import show
from optioneer.app.play import figures_to_play
from optioneer.app.play.turning_view import behind, turning_cells
from optioneer.app.session import waiting
from optioneer.charts.screen import turning_chart
from optioneer.errors import OptioneerError
from optioneer.model.case import Case
from optioneer.reports.advice.whatif import figure_value
from optioneer.reports.page.money import Figures
from optioneer.study.whatif.answers import Turning
from optioneer.study.whatif.whatif import values_between
from optioneer.study.worth.changes import Asked, with_changes

STEPS = 7
"""Values along the driver."""


def draw(case: Case, asked: tuple[Asked, ...], figures: Figures) -> None:
    """The strips of the first driver, the other sliders as they stand.

    Moving that driver itself weighs nothing anew: only the mark moves.
    """
    sliders = figures_to_play.drivers(case)
    if not sliders:
        return
    slider = sliders[0]
    others = tuple(one for one in asked if one.figure != slider.figure)
    here = next((one.value for one in asked if one.figure == slider.figure), slider.here)
    try:
        around = with_changes(case, others)[0] if others else case
    except OptioneerError:
        return  # said above
    values = values_between(slider.low, slider.high, STEPS)
    reply = waiting.reply_to(
        ("strips", cached.content(around), slider.figure, values),
        partial(_turning, around, slider, values),
        place="strips",
        about=around,
    )
    st.markdown(f"**{literal(f'Which verdict holds where: {slider.label}')}**")
    waiting.progress(reply, "Weighing every package along this driver")
    if reply.answer is not None:
        with waiting.dimmed("strips", dim=reply.alive):
            _draw_strip(reply.about, reply.answer, here, slider.label, figures)


def _turning(
    case: Case, slider: figures_to_play.Slider, values: tuple[float, ...], told: object
) -> Turning:
    return cached.turning(case, slider.figure, values, told, few=True)  # type: ignore[arg-type] # a Progress


def _draw_strip(case: Case, answer: Turning, here: float, label: str, figures: Figures) -> None:
    cells, order = turning_cells(case, answer, figures)
    if not cells:
        st.caption("No verdict turns along it.")
        return
    nearest = min(answer.points, key=lambda point: abs(point.at - here)).at
    drawn = turning_chart(
        cells, order=order, here=figure_value(answer.what, nearest, figures), along=label
    )
    signs = ", ".join(f"{SIGNS[verdict]} {SAID[verdict]}" for verdict in SIGNS)
    show.charts(
        {f"Verdict on each option that turns, along {label}.": drawn},
        show.Behind(behind(case, answer, figures), "strips", "The strips as a table"),
        f"{signs}. Dashed: where the slider stands. On {answer.futures:,} futures.",
    )
