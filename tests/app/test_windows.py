"""Several windows and visitors: nobody sees another's case, and nobody's change is lost unsaid."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from optioneer.app.engine.drafts import Store, new_draft
from optioneer.app.session import state
from tests.app.visits import current, draft_of, small_mill


def window() -> None:
    from pathlib import Path  # noqa: PLC0415 - as below

    import streamlit as st  # noqa: PLC0415 - the source of this function is the script

    from optioneer.app.session import state as own  # noqa: PLC0415 - as above

    own.begin(Path(folder) if (folder := st.query_params.get("launched")) else None)
    draft = own.session().draft
    st.text("none" if draft is None else draft.name)
    st.text(own.take_message())
    for kept in own.drafts_offered():
        st.text(f"offered {kept.name}")
    text = st.text_input("text", key="text")
    if st.button("put", key="put"):
        own.put_texts({**own.required_draft().texts, "site.toml": text})
        st.text(own.take_message())


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


def test_a_case_started_again_goes_on_with_what_was_never_saved(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for name, text in small_mill().items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    left = new_draft("mill", small_mill(), folder=tmp_path).with_texts({"site.toml": "a = 1"})
    Store().put(left)

    def launched() -> AppTest:
        test = AppTest.from_function(window)
        test.query_params["launched"] = str(tmp_path)
        return test.run()

    monkeypatch.setattr(state, "at_home", lambda _: False)
    assert current(launched()).texts["site.toml"] != "a = 1"
    monkeypatch.setattr(state, "at_home", lambda _: True)
    again = launched()
    assert current(again).id == left.id
    assert any("never saved" in str(each.value) for each in again.text)


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
