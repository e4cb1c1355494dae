"""An act of a visitor is done whole, although the page is to be drawn anew in the middle of it."""

from collections.abc import Callable
from typing import Any

import pytest
from streamlit.runtime.scriptrunner import RerunData, get_script_run_ctx
from streamlit.testing.v1 import AppTest

from optioneer.app.engine.drafts import Draft, Store
from optioneer.app.session.state import Session
from optioneer.app.views.case_page import AS_TEXT
from tests.app.test_grids import case_page
from tests.app.visits import current, draft_of, small_mill, visit


def turned_meanwhile(act: Callable[..., Any], where: list[str]) -> Callable[..., Any]:
    """The same act; while it is done the visitor turns the page."""

    def done(*given: Any, **named: Any) -> Any:
        found = act(*given, **named)
        context = get_script_run_ctx()
        assert context is not None
        assert context.script_requests is not None
        wish = RerunData(context.query_string, page_script_hash=context.page_script_hash)
        where.append(str(context.script_requests.request_rerun(wish)))
        return found

    return done


def test_what_is_typed_is_on_disk_and_on_the_page_although_the_page_is_turned_meanwhile(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    test = visit(case_page, draft_of(small_mill()))
    test.segmented_control(key="part").set_value(AS_TEXT).run()
    turns: list[str] = []
    monkeypatch.setattr(Store, "exchange", turned_meanwhile(Store.exchange, turns))
    for price in ("82001", "82002"):
        area = test.text_area[0]
        area.set_value(str(area.value).replace(f"{int(price) - 1}", price)).run()
    kept = Store().get(current(test).id)
    assert turns == ["True"] * 2
    assert kept == current(test)
    assert "82002" in kept.texts["machine.toml"]


def opening() -> None:
    from optioneer.app.views import opening  # noqa: PLC0415 - the source of this is the script

    opening.page()


def test_a_case_that_is_begun_is_open_and_on_disk_although_the_page_is_turned_meanwhile(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    test = AppTest.from_function(opening)
    test.session_state["optioneer"] = Session()
    test.run()
    turns: list[str] = []
    monkeypatch.setattr(Store, "put", turned_meanwhile(Store.put, turns))
    test.button(key="new").click().run()
    begun: Draft = current(test)
    assert turns == ["True"]
    assert Store().get(begun.id) == begun
