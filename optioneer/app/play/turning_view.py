"""Where along a range of one figure each verdict turns, as a chart and its table."""

from functools import partial

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.words import SAID, SIGNS
from optioneer.app.parts import show
from optioneer.app.play import figures_to_play
from optioneer.app.play.figures_to_play import Slider
from optioneer.app.session import state, waiting
from optioneer.charts.screen import turning_chart
from optioneer.model.case import Case
from optioneer.reports.advice.whatif import figure_value, turning_page
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading, Page
from optioneer.study.whatif.answers import Turning
from optioneer.study.whatif.whatif import range_of, values_between

STEPS = 9
"""Values that are looked at."""


def draw(case: Case, figures: Figures) -> None:
    """Ask which figure, then show where verdicts turn along it."""
    st.subheader("Where verdicts turn along another figure")
    sliders = [*figures_to_play.drivers(case), *figures_to_play.of_the_case(case)]
    choices = {slider.label: slider for slider in sliders} | figures_to_play.pickable(case)
    label = st.selectbox(
        "Along which figure",
        list(choices),
        key=f"along-{state.required_draft().id}",
        persist_state="session",
    )
    if st.toggle(
        "Draw it", key="turning", help="Weighs every package at nine values; that takes a while."
    ):
        _draw_turning(case, choices[str(label)], figures)


def _draw_turning(case: Case, slider: Slider, figures: Figures) -> None:
    ends = range_of(case, slider.figure, (None, None))
    values = values_between(*ends, STEPS)
    reply = waiting.reply_to(
        ("turning", cached.content(case), slider.figure, values),
        partial(cached.turning, case, slider.figure, values, few=True),
        partial(cached.turning, case, slider.figure, values, few=False),
        place="turning",
        about=(case, slider),
    )
    waiting.progress(reply, "Weighing every package at each value")
    answer: Turning | None = reply.answer
    if answer is None:
        return
    case, slider = reply.about
    st.caption(f"On {answer.futures:,} futures{': a preview' if reply.preview else ''}.")
    cells, order = turning_cells(case, answer, figures)
    table = behind(case, answer, figures)
    if not cells:
        st.markdown("No verdict turns along this range.")
        show.page(table)
    else:
        here = min(answer.points, key=lambda point: abs(point.at - answer.here)).at
        drawn = turning_chart(
            cells, order=order, here=figure_value(answer.what, here, figures), along=slider.label
        )
        signs = ", ".join(f"{SIGNS[verdict]} {SAID[verdict]}" for verdict in SIGNS)
        show.charts(
            {f"Verdict on each option that turns, along {slider.label}.": drawn},
            show.Behind(table, "turning"),
            f"{signs}. Dashed: where the case stands.",
        )


def behind(case: Case, answer: Turning, figures: Figures) -> Page:
    """The tables behind the picture, whose title stands above it."""
    page = turning_page(case, answer, figures)
    return tuple(part for part in page if not isinstance(part, Heading))


def turning_cells(
    case: Case, answer: Turning, figures: Figures
) -> tuple[list[dict[str, str]], list[str]]:
    """A cell an option that turns and a value; the values as texts."""
    order = [figure_value(answer.what, point.at, figures) for point in answer.points]
    cells = [
        {
            "option": case.catalogue.by_id[option.option].name,
            "at": at,
            "verdict": SAID[verdict],
            "sign": SIGNS[verdict],
        }
        for option in answer.options
        if option.turns
        for at, verdict in zip(order, option.verdicts, strict=True)
    ]
    return cells, order
