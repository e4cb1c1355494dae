"""The app says where figures are from: in the grids, beside the answer, of examples above it."""

import pytest

from optioneer.app.engine.drafts import new_draft
from optioneer.app.parts import where_from
from optioneer.files.case.read import reading_of
from optioneer.files.case.starter import NAMES, starter_text
from optioneer.files.case.write import case_texts
from optioneer.model.sources import all_recorded, figures
from tests.app.visits import draft_of, small_mill, texts_of, visit
from tests.cases_as_texts import few


def answer_page() -> None:
    from optioneer.app.views import answer  # noqa: PLC0415 - the page is a script of its own

    answer.page()


def case_page() -> None:
    from optioneer.app.views import case_page as shown  # noqa: PLC0415 - the page is a script of its own

    shown.page()


@pytest.fixture
def starter() -> dict[str, str]:
    return {name: starter_text(name) for name in NAMES}


def test_an_advice_on_invented_figures_says_that_it_is_an_example() -> None:
    texts = few(small_mill())
    case = reading_of("small", texts).case
    marked = all_recorded(case, [*figures(case)], source="example")
    test = visit(answer_page, draft_of(case_texts(marked, texts)))
    assert not test.exception
    (warned,) = test.warning
    assert warned.value.startswith("This advice is an example: ")
    assert "100% invented examples" in texts_of(test)


def test_figures_of_ones_own_make_no_example() -> None:
    case = reading_of("small", small_mill()).case
    assert where_from.example_sentence(case) == ""
    told = all_recorded(case, ["machine/base_price"], source="told")
    assert where_from.example_sentence(told) == ""


def test_below_a_grid_stands_where_its_figures_are_from(starter: dict[str, str]) -> None:
    test = visit(case_page, new_draft("starter", starter))
    assert not test.exception
    (listed,) = [one for one in test.dataframe if "from" in one.value]
    figures = dict(zip(listed.value["figure"], listed.value["from"], strict=True))
    assert figures["Machine: base price"] == "invented examples"
    assert not [name for name in figures if "/" in name or "_" in name]
