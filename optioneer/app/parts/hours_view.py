"""Hours needed against hours there, year by year, where they are limited."""

import streamlit as st

from optioneer.app.parts import show
from optioneer.reports.advice.hours import hour_rows, hours_parts
from optioneer.reports.page.money import Figures
from optioneer.study.advice.answers import Advice


def draw(advice: Advice, figures: Figures) -> None:
    """Two pictures on one scale of years, and the table behind them."""
    rows = hour_rows(advice)
    if not rows:
        return
    from optioneer.charts.hours import (  # noqa: PLC0415 - the advice stands before it
        HOURS_READING,
        needed_chart,
        worth_chart,
    )

    st.subheader("Hours needed against hours there")
    drawn = {
        "Hours needed by year, and the hours there are, dashed.": needed_chart(rows),
        "What one more hour would earn, by year.": worth_chart(rows, currency=advice.currency),
    }
    behind = show.Behind(tuple(hours_parts(advice, figures)), "hours", "The hours as a table")
    show.charts(drawn, behind, HOURS_READING)
