"""The page that asks: one question at a time, every answer in the draft at once."""

import pytest
from streamlit.testing.v1 import AppTest

from optioneer.app.engine.drafts import Draft, Store, new_draft
from optioneer.files.case.read import reading_of
from optioneer.files.case.write import case_texts
from optioneer.model.case import Case
from optioneer.model.sources import disagreements
from optioneer.study.asking.conversation import key_of
from optioneer.study.worth.figures import Figure
from tests.app.visits import current, settled, texts_of, visit
from tests.oracle.cases import between
from tests.study.unknowns.test_worth_of_knowing import now_or_never

FIELD = "answer-chance-work-"


def page() -> None:
    from optioneer.app.views import questions  # noqa: PLC0415 - the page is a script of its own

    questions.page()


def opened(case: Case | None = None) -> Draft:
    told = case or now_or_never(0.38)
    cheap = told.machine.model_copy(update={"base_price": 20e3})  # less is worth a question
    growth = told.growth.model_copy(update={"futures": 256})
    small = told.model_copy(update={"machine": cheap, "growth": growth})
    draft = new_draft("small", case_texts(small, {}))
    Store().put(draft)
    return draft


@pytest.fixture
def asks() -> AppTest:
    test = visit(page, opened())
    assert not test.exception
    assert "Does 'work' come?" in texts_of(test)
    return test


def in_percent(test: AppTest, likely: str) -> AppTest:
    test.radio(key=f"{FIELD}way").set_value("In percent").run()
    test.text_input(key=f"{FIELD}likely").set_value(likely)
    return pressed(test, "take-answer")


def pressed(test: AppTest, key: str) -> AppTest:
    test.button(key=key).click().run()
    assert not test.exception
    return settled(test)


def case_of(test: AppTest) -> Case:
    """The case as it is on disk."""
    kept = Store().get(current(test).id)
    assert kept is not None
    return reading_of("small", kept.texts).case


def chance(test: AppTest) -> float:
    return case_of(test).growth.stream[0].likely_chance


def test_a_question_says_whom_to_ask_what_it_is_worth_and_where_which_verdict_turns(
    asks: AppTest,
) -> None:
    said = texts_of(asks)
    assert "Ask the customer. To know it is worth " in said
    assert "What the case says: 38%, somewhere from 28% to 48%." in said
    assert "Of ten such orders about 4 come; 2 at least, 5 at most." in said
    assert "the other choice is better" in said


def test_an_answer_is_on_disk_with_who_gave_it_and_is_not_asked_again(asks: AppTest) -> None:
    asks.text_input(key="who-chance-work").set_value("purchasing").run()
    in_percent(asks, "35")
    assert chance(asks) == 0.35
    (line,) = case_of(asks).sources or ()
    assert (line.source, line.who, line.value) == ("told", "purchasing", "0.35")
    assert "Does 'work' come?" not in texts_of(asks)
    assert "Answered so far: 1" in texts_of(asks)


def test_one_step_back_takes_the_answer_back_and_asks_again(asks: AppTest) -> None:
    before = current(asks).texts
    in_percent(asks, "35")
    pressed(asks, "step-back")
    assert current(asks).texts == before
    assert "Does 'work' come?" in texts_of(asks)


def test_a_question_left_open_changes_nothing_and_can_be_asked_later(asks: AppTest) -> None:
    before = current(asks).texts
    pressed(asks, "leave-open")
    assert "Does 'work' come?" not in texts_of(asks)
    assert current(asks).texts == before
    pressed(asks, "ask-left")
    assert "Does 'work' come?" in texts_of(asks)


def test_what_is_typed_is_pictured_before_it_is_taken(asks: AppTest) -> None:
    asks.radio(key=f"{FIELD}way").set_value("By our quotes").run()
    asks.text_input(key=f"{FIELD}of").set_value("10").run()
    asks.text_input(key=f"{FIELD}came").set_value("4").run()
    assert "Your answer: 41.7%, somewhere from" in texts_of(asks)
    assert chance(asks) == 0.38


@pytest.mark.parametrize(("key", "then"), [("clash-keep", 0.38), ("clash-take", 0.9)])
def test_an_answer_that_does_not_fit_stands_beside_the_case_and_both_stay(
    asks: AppTest, key: str, then: float
) -> None:
    in_percent(asks, "90")
    said = texts_of(asks)
    assert "The case says 38% (28% to 48%); this answer says 90%" in said
    assert "Your answer: 90%" in said
    assert chance(asks) == 0.38
    pressed(asks, key)
    assert chance(asks) == then
    assert [one.value for one in case_of(asks).sources or ()] == ["0.9"]
    assert "Does 'work' come?" not in texts_of(asks)
    pressed(asks, "step-back")
    assert (chance(asks), case_of(asks).sources) == (0.38, None)


def test_what_two_people_say_stands_side_by_side(asks: AppTest) -> None:
    in_percent(asks, "35")
    asks.selectbox(key="ask-again").set_value("does 'work' come?").run()
    pressed(asks, "ask-again-go")
    asks.text_input(key="who-chance-work").set_value("owner").run()
    in_percent(asks, "42")
    assert [one.who for one in disagreements(case_of(asks))[key_of(Figure("chance", "work"))]] == [
        "customer",
        "owner",
    ]
    assert "Answers that differ" in texts_of(asks)


def test_a_field_that_holds_no_number_is_told_and_nothing_is_taken(asks: AppTest) -> None:
    in_percent(asks, "perhaps")
    assert "'perhaps' is no amount" in texts_of(asks)
    assert chance(asks) == 0.38


def test_a_margin_is_told_by_the_month_the_range_first() -> None:
    told = now_or_never(0.38)
    (only,) = told.growth.stream
    sure = only.model_copy(update={"chance": 1.0, "margin": between(5e3, 8e3, 11e3)})
    growth = told.growth.model_copy(update={"stream": (sure,)})
    test = visit(page, opened(told.model_copy(update={"growth": growth})))
    assert "What would a year of 'work' leave" in texts_of(test)
    for part, text in {"low": "700", "high": "900", "likely": "800"}.items():
        test.text_input(key=f"answer-margin-work-{part}").set_value(text).run()
    pressed(test, "take-answer")
    assert case_of(test).growth.stream[0].margin.likely == 9600.0


def test_where_nothing_is_worth_asking_it_says_stop() -> None:
    test = visit(page, opened(now_or_never(0.95)))
    assert any("stop here" in one.value for one in test.success)


def test_what_the_account_must_hold_is_kept_with_who_said_it() -> None:
    test = visit(page, opened())
    test.text_input(key="account-opening").set_value("120,000.00").run()
    test.text_input(key="account-keep").set_value("45,000.00").run()
    pressed(test, "account-said")
    case = case_of(test)
    assert case.paying is not None
    assert (case.paying.account.opening, case.paying.account.keep_above) == (120e3, 45e3)
    assert {one.key for one in case.sources or ()} == {
        "paying/account/opening",
        "paying/account/keep_above",
    }
