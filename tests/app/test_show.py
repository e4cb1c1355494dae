"""Parts of pages on the screen."""

from typing import get_args

from optioneer.app import show
from optioneer.reports.parts import Part


def test_every_part_of_a_page_can_be_shown() -> None:
    assert set(show._SHOWERS) == set(get_args(Part))
