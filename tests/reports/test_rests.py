"""A page says how much of an answer rests on which kind of source, and what is an example."""

from optioneer.files.case.read import reading_of
from optioneer.files.case.starter import starter_text
from optioneer.files.saving.commit import NAMES
from optioneer.model.case import Case
from optioneer.model.sources import all_recorded, figures, with_source
from optioneer.reports.advice.provenance import EXAMPLE, rests_parts, rests_table
from optioneer.reports.page.money import Figures
from tests.oracle.cases import anticipation

FIGURES = Figures("USD", "en_US")


def starter() -> Case:
    return reading_of("starter", {name: starter_text(name) for name in NAMES}).case


def test_advice_on_examples_says_that_it_is_one() -> None:
    (told,) = rests_parts(starter(), FIGURES)
    assert told.text.startswith(EXAMPLE)
    assert told.strong


def test_a_case_that_says_it_of_no_figure_is_left_alone() -> None:
    assert rests_parts(anticipation(), FIGURES) == ()
    assert rests_table(anticipation(), FIGURES) == ()


def test_shares_of_prices_and_margins_are_told() -> None:
    case = all_recorded(anticipation(), ["machine/base_price"], source="quoted")
    (work,) = case.growth.stream
    case = with_source(case, f"stream/{work.id}/margin", who="owner")
    (told,) = rests_parts(case, FIGURES)
    assert "Of the prices 83% are quoted, of the expected margins 100% told" in told.text
    assert "1 quoted, 1 told" in told.text
    assert not told.strong


def test_the_table_has_a_row_for_each_source_and_every_figure_in_it() -> None:
    case = with_source(anticipation(), "machine/base_price", source="quoted")
    (table,) = rests_table(case, FIGURES)
    assert [row[0] for row in table.rows] == ["quoted", "without a source"]
    assert sum(int(row[1].replace(",", "")) for row in table.rows) == len(figures(case))
