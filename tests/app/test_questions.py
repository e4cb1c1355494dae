"""What is asked about a case stands on the page 'The case' and keeps nobody from the answer."""

from tests.app.visits import draft_of, small_mill, visit
from tests.cases_as_texts import with_cell


def page() -> None:
    from optioneer.app.views import case_page  # noqa: PLC0415 - the page is a script of its own

    case_page.page()


def test_the_page_of_the_case_asks_what_is_hardly_meant() -> None:
    texts = with_cell(small_mill(), "rotary-table", multiplier_high="12980")
    test = visit(page, draft_of(texts))
    assert not test.exception
    assert [one for one in test.expander if one.label == "Is that meant? (1)"]
    said = " ".join(one.value for one in test.markdown)
    assert "12,980 times its price of 11,800" in said
    assert [one for one in test.success if "No faults." in one.value]


def test_of_a_case_in_order_nothing_is_asked() -> None:
    test = visit(page, draft_of(small_mill(256)))
    assert not [one for one in test.expander if one.label.startswith("Is that meant?")]
