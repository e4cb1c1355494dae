"""Charts for a browser."""

from collections.abc import Iterator

import pytest
from altair.utils import schemapi

from optioneer.charts.screen import on_screen, trust, turning_chart


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
