"""What stays: the old answer until the new one comes, choices over a refresh, work of a page left.

A refresh is another visitor with the same draft: the session is new, the draft is not.
"""

import re
import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from optioneer.app.apart import memory
from optioneer.app.engine import cached
from optioneer.app.engine.drafts import Draft, Store
from optioneer.app.order.verdict_rows import CLOSE
from optioneer.app.play import pairs
from optioneer.app.session.advice_reply import FULL
from optioneer.app.session.state import Session
from optioneer.errors import RequestError
from optioneer.files.case.read import reading_of
from optioneer.files.case.texts import fingerprint, folder_texts, save_texts
from optioneer.files.grid.sheet_list import SHEETS
from optioneer.files.grid.sheets import Edits, with_edits
from optioneer.model.case import Case
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem.effort import Progress
from optioneer.study.worth import valued_case as engine
from tests.app.visits import current, draft_of, settled, small_mill, texts_of, visit
from tests.app.walks import LOADED
from tests.cases_as_texts import few, with_cell
from tests.patience import PATIENCE


def answer_page() -> None:
    from optioneer.app.session import state  # noqa: PLC0415 - the source of this is the script
    from optioneer.app.views import answer  # noqa: PLC0415 - as above

    state.enter("answer")
    answer.page()


def owner_page() -> None:
    from optioneer.app.session import state  # noqa: PLC0415 - as above
    from optioneer.app.views import owner  # noqa: PLC0415 - as above

    state.enter("owner")
    owner.page()


def buyer_page() -> None:
    from optioneer.app.session import state  # noqa: PLC0415 - as above
    from optioneer.app.views import buyer  # noqa: PLC0415 - as above

    state.enter("buyer")
    buyer.page()


def nudged(texts: dict[str, str]) -> dict[str, str]:
    """As the owner keeps it in the case: automation is much likelier, more is to be ordered."""
    return with_edits(SHEETS["drivers"], texts, Edits(changed={0: {"nudge": "2.0"}}))


def become(test: AppTest, texts: dict[str, str]) -> AppTest:
    session: Session = test.session_state["optioneer"]
    draft = current(test).with_texts(texts)
    test.session_state["optioneer"] = replace(session, draft=draft)
    return test.run()


def ticked(test: AppTest) -> set[str]:
    """Options that are ticked in the matrix."""
    frame = test.data_editor[0].value
    return set(frame.option[frame.mine])


def tick(test: AppTest, option: str) -> AppTest:
    """Tick an option or take its tick away, as the matrix notes it; no cell can be clicked here."""
    name, desk = test.session_state["optioneer-desk"]
    held = sorted(set(desk[f"own-{name}-held"]) ^ {option})
    Store().put_desk(name, desk | {f"own-{name}-held": held})
    test.session_state["optioneer-desk"] = (name, desk | {f"own-{name}-held": held})
    test.session_state[f"own-{name}-version"] = 1
    return test.run()


@pytest.fixture
def held_up(monkeypatch: pytest.MonkeyPatch) -> Iterator[threading.Event]:
    """Answers on all futures wait until the event is set; previews do not."""
    go, whole = threading.Event(), cached.advice

    def slow(case: Case, told: Progress | None = None) -> Any:
        while not go.wait(0.01):
            if told is not None:
                told(0.1)
        return whole(case, told)

    monkeypatch.setattr(cached, "advice", slow)
    yield go
    go.set()


BARS = ("Progress", "UnknownElement")
"""What the framework's tests call a bar of progress."""


# The buyer's page follows what the owner keeps.


def test_after_keep_in_the_case_the_buyer_starts_from_the_advice_as_it_is_then() -> None:
    texts = few(small_mill(), *LOADED)
    test = visit(buyer_page, draft_of(texts), enough=FULL)
    before = ticked(test)
    settled(become(test, nudged(texts)), enough=FULL)
    fresh = visit(buyer_page, draft_of(nudged(texts)), enough=FULL)
    assert ticked(fresh) != before
    assert ticked(test) == ticked(fresh)


def test_a_package_made_by_hand_stays_as_it_is_and_the_change_of_the_advice_is_told() -> None:
    texts = few(small_mill(), *LOADED)
    test = visit(buyer_page, draft_of(texts), enough=FULL)
    by_hand = ticked(settled(tick(test, "automatic-door")))
    assert "Automatic door" in by_hand
    settled(become(test, nudged(texts)), enough=FULL)
    assert ticked(test) == by_hand
    assert any("holds other options by now" in each.value for each in test.info)
    test.button(key="take-over").click().run()
    assert ticked(settled(test)) == ticked(visit(buyer_page, draft_of(nudged(texts)), enough=FULL))
    assert not test.info


# A preview is told from the whole answer.


def test_a_preview_is_dimmed_and_what_is_still_worked_on_is_said_before_the_lists(
    held_up: threading.Event,
) -> None:
    test = AppTest.from_function(answer_page, default_timeout=PATIENCE)
    test.session_state["optioneer"] = Session(draft=draft_of(few(small_mill(1024))))
    test.run()
    while not any("preview" in each.value for each in test.caption):
        test.run()
    kinds = [type(each).__name__ for each in test.main]
    said = [str(getattr(each, "value", "")) for each in test.main]
    assert any("opacity: 0.55" in str(each.proto.body) for each in test.get("html"))
    progress = next(place for place, kind in enumerate(kinds) if kind in BARS)
    lists = next(place for place, text in enumerate(said) if "Order now" in text)
    assert progress < lists
    held_up.set()
    settled(test)
    assert not any("opacity: 0.55" in str(each.proto.body) for each in test.get("html"))


def test_close_calls_are_shown_as_such_in_the_lists() -> None:
    texts = with_cell(small_mill(64), "magazine-30", price="400")
    case = reading_of("small-mill", texts).case
    close = {
        case.catalogue.by_id[o.option].name
        for o in advice(AdviceRequest(case)).options
        if o.close_call
    }
    assert close
    test = visit(answer_page, draft_of(texts))
    html = next(body for body in (e.proto.body for e in test.get("html")) if "verdicts" in body)
    bands = [one for one in re.findall(r'<div class="band">(.*?)</div>', html) if CLOSE in one]
    assert {name for band in bands for name in re.findall("<span>([^<]*) <small>", band)} == close


# No work is thrown away.


def test_packages_are_no_part_of_what_is_valued(monkeypatch: pytest.MonkeyPatch) -> None:
    valuations: list[Case] = []
    real = engine.valued_case

    def counted(case: Case, **rest: Any) -> Any:
        valuations.append(case)
        return real(case, **rest)

    monkeypatch.setattr(engine, "valued_case", counted)
    texts = small_mill(96)
    case = reading_of("small-mill", texts).case
    fewer = case.model_copy(update={"packages": case.packages[:1]})
    assert cached.advice(case) == advice(AdviceRequest(case))
    assert cached.advice(fewer) == advice(AdviceRequest(fewer))
    assert len(valuations) <= 1


# After a slider move the old answer stays.


def test_the_old_answer_stays_dimmed_until_the_new_one_comes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    test = visit(owner_page, draft_of(few(small_mill(), "night-lots")))
    before = [each.value for each in test.metric]
    go, quick = threading.Event(), pairs.sketched_pair

    def slow(case: Case, changed: Case, told: Progress) -> Any:
        assert go.wait(PATIENCE)
        return quick(case, changed, told)

    monkeypatch.setattr(pairs, "sketched_pair", slow)
    test.slider[0].set_value(2.0).run()
    assert [each.value for each in test.metric] == before
    assert any("opacity: 0.55" in str(each.proto.body) for each in test.get("html"))
    assert "All verdicts" in [each.label for each in test.expander]
    go.set()
    settled(test)
    assert [each.value for each in test.metric] != before


# What was set survives.


def again(page: Any, draft: Draft) -> AppTest:
    """The page after a refresh."""
    return visit(page, draft, enough=FULL)


def test_slider_positions_survive_a_refresh() -> None:
    test = visit(owner_page, draft_of(few(small_mill())))
    test.slider[0].set_value(1.5).run()
    assert again(owner_page, current(test)).slider[0].value == 1.5
    other = visit(owner_page, draft_of(few(small_mill())))
    assert other.slider[0].value == 0.0


def test_multiples_kept_in_the_case_begin_anew() -> None:
    test = visit(owner_page, draft_of(few(small_mill())))
    picked = test.multiselect[0]
    margin = next(name for name in picked.options if name.startswith("Yearly margin"))
    picked.set_value([margin]).run()
    test.slider[-1].set_value(150.0).run()
    test.button(key="keep").click().run()
    assert test.slider[-1].value == 100.0
    assert not test.exception


def test_a_package_by_hand_survives_a_refresh() -> None:
    test = visit(buyer_page, draft_of(few(small_mill())), enough=FULL)
    before = ticked(test)
    by_hand = ticked(settled(tick(test, "automatic-door")))
    assert by_hand != before
    assert ticked(again(buyer_page, current(test))) == by_hand


def test_another_quote_and_its_rate_survive_a_refresh() -> None:
    test = visit(buyer_page, draft_of(few(small_mill())), enough=FULL)
    test.button(key="quote-second-mill").click().run()
    settled(test)
    refreshed = again(buyer_page, current(test))
    assert "second mill" in texts_of(refreshed).replace("\\", "")
    rates = [each for each in refreshed.text_input if each.label.startswith("What one ")]
    for rate in rates:
        rate.set_value("0.9").run()
    last = again(buyer_page, current(test))
    assert [e.value for e in last.text_input if e.label.startswith("What one ")] == ["0.9"] * len(
        rates
    )


def test_a_position_that_no_longer_fits_is_left_for_what_the_case_says() -> None:
    draft = draft_of(few(small_mill()))
    Store().put_desk(draft.id, {f"play-{draft.id}-horizon-": 900.0})
    test = visit(owner_page, draft)
    assert not test.exception
    horizon = next(each for each in test.slider if each.label == "Years looked ahead")
    assert horizon.value == 8.0


def test_what_the_pages_held_goes_with_the_draft() -> None:
    draft = draft_of(small_mill())
    store = Store()
    store.put(draft)
    store.put_desk(draft.id, {"a": 1})
    assert store.desk(draft.id) == {"a": 1}
    store.drop(draft.id)
    assert store.desk(draft.id) == {}
    assert list(store.folder.glob("*.json")) == []


def test_a_deleted_folder_is_called_deleted(tmp_path: Path) -> None:
    folder = tmp_path / "mill"
    save_texts(small_mill(), folder, opened="")
    opened = fingerprint(folder_texts(folder))
    for file in folder.iterdir():
        file.unlink()
    folder.rmdir()
    with pytest.raises(RequestError, match="deleted or moved"):
        save_texts(small_mill(), folder, opened=opened)
    assert not folder.exists()


def test_garbage_is_collected_seldom(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(memory, "_tidied", [-1e9])
    assert [memory.tidy() for _ in range(3)] == [True, False, False]
