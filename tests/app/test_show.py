"""Parts of a page on the screen: tables and charts."""

import altair as alt
import pytest

from optioneer.app.parts.show import FEW, _table_html, _text_columns
from optioneer.charts.screen import on_screen
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


@pytest.mark.parametrize(
    ("cell", "columns", "rows", "stacks"),
    [
        ("2027-05-03", 3, FEW, True),
        ("2027-05-03", 3, FEW + 1, False),
        ("2027-05-03", 2, FEW, False),
        ("later", 5, FEW, False),
    ],
)
def test_a_phone_shows_the_cells_of_a_short_wide_table_below_each_other_with_their_heads(
    cell: str, columns: int, rows: int, *, stacks: bool
) -> None:
    heads = ("", *(f"head {n}" for n in range(columns)))
    shown = _table_html(Table("", heads, (("row", *([cell] * columns)),) * rows))
    assert ('class="table-frame stacks"' in shown) == stacks
    assert not stacks or shown.count('data-head="head 2"') == rows


def test_a_chart_takes_the_ink_of_the_page_and_leaves_its_data_alone() -> None:
    rows = [{"name": "#202020"}]
    drawn = alt.Chart(alt.InlineData(values=rows)).mark_point(color="#202020", fill="white")
    told = on_screen(drawn)
    assert told["background"] == "transparent"
    assert told["mark"]["color"] == "currentColor"
    assert told["mark"]["fill"].startswith("rgba")
    assert list(told["datasets"].values()) == [rows]
    config = told["config"]
    texts = (config["axis"]["labelColor"], config["axis"]["titleColor"], config["title"]["color"])
    assert set(texts) == {"currentColor"}
