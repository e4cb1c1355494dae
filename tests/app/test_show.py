"""Parts of a page on the screen: tables and charts."""

import altair as alt
import pytest

from optioneer.app.parts.show import _text_columns
from optioneer.charts.screen import INK, on_screen
from optioneer.reports.page.parts import Table


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        (("$1,200", "", "-"), False),
        (("-1.234,50 €", "-"), False),
        (("CHF 1,200", "missing"), False),
        (("2027-05-03", ""), False),
        (("+ $0", "- $14"), False),
        (("bay-4", "out"), True),
        (("contract", "regular"), True),
        (("", "for a while"), True),
    ],
)
def test_columns_of_words_stand_on_the_left_and_figures_on_the_right(
    cells: tuple[str, ...], *, words: bool
) -> None:
    table = Table("", ("", "", "last"), tuple(("row", cell, "1") for cell in cells))
    assert (1 in _text_columns(table)) == words


def test_texts_of_a_chart_are_dark_on_its_light_ground_whatever_the_theme() -> None:
    told = on_screen(alt.Chart(alt.InlineData(values=[])).mark_point()).to_dict()
    assert told["background"] == "#ffffff"
    config = told["config"]
    texts = (config["axis"]["labelColor"], config["axis"]["titleColor"], config["title"]["color"])
    assert set(texts) == {INK}
