"""Several windows and visitors: nobody sees another's case, and nobody's change is lost unsaid."""

import pytest
from streamlit.testing.v1 import AppTest

from optioneer.app import state
from optioneer.app.drafts import Store
from tests.app.visits import current, draft_of, small_mill


def window() -> None:
    import streamlit as st  # noqa: PLC0415 - the source of this function is the script

    from optioneer.app import state as own  # noqa: PLC0415 - as above

    own.begin(None)
    draft = own.session().draft
    st.text("none" if draft is None else draft.name)
    st.text(own.told())
    for kept in own.offered():
        st.text(f"offered {kept.name}")
    text = st.text_input("text", key="text")
    if st.button("put", key="put"):
        own.put_texts({**own.required_draft().texts, "site.toml": text})
        st.text(own.told())


def opened(name: str | None) -> AppTest:
    test = AppTest.from_function(window)
    if name is not None:
        test.query_params["draft"] = name
    test.run()
    assert not test.exception
    return test


def typed(test: AppTest, text: str) -> str:
    test.text_input(key="text").set_value(text).run()
    test.button(key="put").click().run()
    assert not test.exception
    return " ".join(str(each.value) for each in test.text)


def test_the_address_of_a_draft_opens_it_again() -> None:
    draft = draft_of(small_mill()).with_texts({"machine.toml": "changed"})
    Store().put(draft)
    assert current(opened(draft.id)) == draft


def test_another_visitor_sees_nothing_of_it() -> None:
    draft = draft_of(small_mill()).with_texts({"machine.toml": "changed"})
    Store().put(draft)
    opened(draft.id)
    assert next(str(each.value) for each in opened(None).text) == "none"
    assert not any("offered" in str(each.value) for each in opened(None).text)


def test_a_draft_that_nobody_has_open_any_more_is_offered(monkeypatch: pytest.MonkeyPatch) -> None:
    draft = draft_of(small_mill()).with_texts({"machine.toml": "changed"})
    Store().put(draft)
    monkeypatch.setattr(state, "at_home", lambda _: True)
    assert any("offered small-mill" in str(each.value) for each in opened(None).text)
    monkeypatch.setattr(state, "at_home", lambda _: False)
    assert not any("offered" in str(each.value) for each in opened(None).text)


def test_the_second_of_two_windows_is_told_and_sees_the_first_ones_change() -> None:
    draft = draft_of(small_mill())
    Store().put(draft)
    first, second = opened(draft.id), opened(draft.id)
    typed(first, "a = 1")
    assert "Another window has changed this case" in typed(second, "b = 2")
    assert current(second).texts["site.toml"] == "a = 1"
    typed(second, "c = 3")
    kept = Store().get(draft.id)
    assert kept is not None
    assert kept.texts["site.toml"] == "c = 3"
