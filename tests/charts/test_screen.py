"""Charts for a browser."""

from collections.abc import Iterator
from typing import Any

import altair as alt
import pytest
from altair.utils import schemapi

from optioneer.charts import Rows, inline
from optioneer.charts.screen import on_screen, on_screen_once, trust, turning_chart


@pytest.fixture
def held_to_their_schema_again() -> Iterator[None]:
    yield
    schemapi.enable_debug_mode()


@pytest.mark.usefixtures("held_to_their_schema_again")
def test_a_chart_that_is_trusted_is_drawn_alike() -> None:
    """All that it saves is the check."""
    cells = [{"option": "Probe", "at": at, "verdict": "order now", "sign": "o"} for at in "12"]

    def drawn() -> object:
        return on_screen(turning_chart(cells, order=["1", "2"], here="1", along="automation"))

    checked = drawn()
    trust()
    assert schemapi.DEBUG_MODE is False
    assert drawn() == checked


def test_what_is_drawn_again_is_kept_and_what_changed_is_drawn_anew() -> None:
    drawn = []

    def draw(rows: Rows, *, title: str) -> Any:
        drawn.append(title)
        return alt.Chart(inline(rows)).mark_bar().encode(x=alt.X("a:Q", title=title))

    rows = [{"a": 1.5}]
    first = on_screen_once(draw, rows, title="t")
    assert first == on_screen(draw(rows, title="t"))
    first.clear()  # as whoever shows it may
    assert on_screen_once(draw, rows, title="t") == on_screen(draw(rows, title="t"))
    assert len(drawn) == 3
    on_screen_once(draw, [{"a": 2.5}], title="t")
    on_screen_once(draw, rows, title="u")
    assert len(drawn) == 5
