"""The app says where figures are from: in the grids, beside the answer, of examples above it."""

import pytest

from optioneer.app.engine.drafts import new_draft
from optioneer.files.case.starter import NAMES, starter_text
from tests.app.visits import draft_of, small_mill, texts_of, visit


def answer_page() -> None:
    from optioneer.app.views import answer  # noqa: PLC0415 - the page is a script of its own

    answer.page()


def case_page() -> None:
    from optioneer.app.views import case_page as shown  # noqa: PLC0415 - likewise

    shown.page()


@pytest.fixture
def starter() -> dict[str, str]:
    texts = {name: starter_text(name) for name in NAMES}
    few = texts["growth.toml"].replace("futures = 4096", "futures = 64")
    assert few != texts["growth.toml"]
    return texts | {"growth.toml": few}


def test_an_advice_on_the_starter_says_that_it_is_an_example(starter: dict[str, str]) -> None:
    test = visit(answer_page, new_draft("starter", starter))
    assert not test.exception
    (warned,) = test.warning
    assert warned.value.startswith("This advice is an example: ")
    assert "100% invented examples" in texts_of(test)


def test_an_advice_on_figures_of_ones_own_is_no_example() -> None:
    test = visit(answer_page, draft_of(small_mill()))
    assert not test.exception
    assert not test.warning


def test_below_a_grid_stands_where_its_figures_are_from(starter: dict[str, str]) -> None:
    test = visit(case_page, new_draft("starter", starter))
    assert not test.exception
    (listed,) = [one for one in test.dataframe if "from" in one.value]
    figures = dict(zip(listed.value["figure"], listed.value["from"], strict=True))
    assert figures["Machine: base price"] == "invented examples"
    assert not [name for name in figures if "/" in name or "_" in name]
