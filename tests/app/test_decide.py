"""Deciding on a page: what is sealed, what came, and a place for whatever the commands answer."""

import html
from datetime import date
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from optioneer.app.engine.amounts import amount_typed, share_typed
from optioneer.app.engine.drafts import Draft, new_draft
from optioneer.app.engine.words import COMMANDS, PAGES
from optioneer.app.main import MODULES
from optioneer.app.money.curve import way_names
from optioneer.app.money.lender_view import ACCOUNT, LENDER, ways_called
from optioneer.app.session.state import Session
from optioneer.cli import app
from optioneer.errors import RequestError
from optioneer.files.case.read import reading_of
from optioneer.files.record.entries import read_record
from optioneer.reports.cash.account import account_parts
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Paragraph
from optioneer.study.account.account import AccountRequest, asked_account
from optioneer.study.ready.first_chips import with_first_chips
from optioneer.study.record.facts import PaidFact
from tests.app.test_money_pages import bookkeeper_page
from tests.app.visits import draft_of, settled, small_mill, texts_of, visit
from tests.app.walks import said, walked
from tests.patience import PATIENCE


def decide_page() -> None:
    from optioneer.app.parts import case_bar  # noqa: PLC0415 - the source of this function is the script
    from optioneer.app.views import decide  # noqa: PLC0415 - the source of this function is the script

    case_bar.draw()
    decide.page()


def kept(folder: Path) -> Draft:
    """A draft that is saved in a folder."""
    texts = small_mill()
    folder.mkdir()
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    return new_draft("small-mill", texts, folder=folder)


def opened(draft: Draft) -> AppTest:
    """The page on the bare machine, so that little has to be valued."""
    test = AppTest.from_function(decide_page, default_timeout=PATIENCE)
    test.session_state["optioneer"] = Session(draft=draft)
    test.session_state[f"package-{draft.id}"] = "bare"
    test.run()
    assert not test.exception
    return test


def test_every_command_has_its_page() -> None:
    commands = {
        each.name or (each.callback.__name__ if each.callback else "")
        for each in app.registered_commands
    }
    assert COMMANDS.keys() == commands
    assert set(COMMANDS.values()) <= {*PAGES, "start"}
    assert PAGES.keys() == MODULES.keys()
    assert DONE_BY.keys() == commands


DONE_BY = {
    "start": "Start from what the dealer offers",
    "new": "Start a case to fill in",
    "app": "Look at a demo",
    "check": "No faults.",
    "advise": "Order now (",
    "value": "Beyond the advice",
    "compare": "Side by side",
    "request": "Request as an e-mail",
    "take-in": "Take in a dealer's list of prices",
    "bargain": "How far to go with the dealer",
    "ask": "still worth asking",
    "whatif": "Back to the case",
    "turning": "Where verdicts turn along another figure",
    "sensitivity": "What moves it most",
    "batch": "Settings side by side",
    "cash": "Lowest balance",
    "account": ACCOUNT,
    "bank": LENDER,
    "ready": "Ready on delivery",
    "workbook": "Results as a workbook",
    "report": "Report as PDF",
    "calendar": "Calendar of all days",
    "wait": "Calendar of all days",
    "decide": "Record the decision",
    "history": "The last decision against what is recorded",
    "paid": "A payment",
    "fitted": "A retrofit",
    "arrived": "Work that came",
    "withdraw": "A mistake",
}
"""What stands on the page of a command and does what it does."""

DECIDED = ("decide", "history", "paid", "fitted", "arrived", "withdraw")
"""What a page does only for a case with a folder, the others after a decision."""


def opening_page() -> None:
    from optioneer.app.views import opening  # noqa: PLC0415 - the source of this is the script

    opening.page()


@pytest.mark.parametrize("command", sorted(DONE_BY.keys() - set(DECIDED)))
def test_the_page_of_a_command_does_what_it_does(command: str) -> None:
    place = COMMANDS[command]
    test = visit(opening_page, None) if place == "start" else walked(MODULES[place])
    assert any(DONE_BY[command] in text for text in said(test)), command


def test_a_case_in_no_folder_says_what_to_do_first() -> None:
    test = opened(draft_of(small_mill()))
    assert any("Save this case into a folder" in each.value for each in test.info)
    assert not [button for button in test.button if button.key == "decide"]
    labels = [button.proto.label for button in test.get("download_button")]
    assert {"Report as PDF", "Calendar of all days", "Results as a workbook"} <= set(labels)


def test_a_decision_is_sealed_and_what_is_paid_is_told_beside_the_plan(tmp_path: Path) -> None:
    draft = kept(tmp_path / "mill")
    test = opened(draft)
    test.text_area(key=f"decide-note-{draft.id}").set_value("It pays").run()
    test.button(key="decide").click().run()
    assert not test.exception
    (sealed,) = read_record(tmp_path / "mill").decisions.values()
    assert sealed.note == "It pays"
    assert all(any(DONE_BY[one] in text for text in said(test)) for one in DECIDED)
    head = read_record(tmp_path / "mill").head
    test.text_input(key="kept-head").set_value(head).run()
    assert "is there, unchanged; nothing since" in texts_of(test).replace("\\", "")
    test.text_input(key="kept-head").set_value(head[:-1] + "x").run()
    assert "does not hold" in texts_of(test)
    assert sealed.package.id == "bare"
    assert dict(sealed.inputs) == dict(draft.texts)
    test.date_input(key="came-day").set_value(date(2027, 6, 1)).run()
    test.text_input(key="came-amount").set_value("1.250,50").run()
    test.button(key="came-put").click().run()
    (fact,) = read_record(tmp_path / "mill").facts
    assert isinstance(fact, PaidFact)
    assert fact.cents == -125_050
    assert "1,250.50" in texts_of(test).replace("\\", "")


def test_what_is_unlikely_is_asked_about_before_it_is_recorded(tmp_path: Path) -> None:
    test = opened(kept(tmp_path / "mill"))
    test.button(key="decide").click().run()
    test.text_input(key="came-amount").set_value("99,000,000.00").run()
    assert test.button(key="came-put").disabled
    test.checkbox(key="came-sure").set_value(True).run()
    assert not test.button(key="came-put").disabled


@pytest.mark.parametrize(
    ("key", "typed", "told"),
    [
        ("came-amount", "-5", "Its bill: -5 is below zero. Write 0 or more."),
        ("came-visit", "-7.50", "Of that visit, on top: -7.50 is below zero. Write 0 or more."),
        (
            "came-days",
            "5000",
            "Days the machine stood still: 5000 is above 3,650. Write 3,650 or less.",
        ),
    ],
)
def test_what_cannot_be_recorded_is_told_in_words(
    tmp_path: Path, key: str, typed: str, told: str
) -> None:
    test = opened(kept(tmp_path / "mill"))
    test.button(key="decide").click().run()
    test.button_group(key="came").set_value("A retrofit").run()
    test.text_input(key="came-amount").set_value("900").run()
    test.text_input(key=key).set_value(typed).run()
    found = " ".join(each.value.replace("\\", "") for each in test.error)
    assert told in found
    assert "validation" not in found
    assert "came-put" not in {button.key for button in test.button}


def test_caution_and_a_budget_are_asked_for_on_the_page() -> None:
    draft = draft_of(small_mill())
    test = opened(draft)
    test.text_input(key=f"limit-{draft.id}").set_value("86,000.00").run()
    test.toggle(key="otherwise").set_value(True).run()
    told = texts_of(settled(test)).replace("\\", "")
    assert "This is the best that a budget of €86,000 buys." in told
    assert not test.exception


def banked() -> dict[str, str]:
    """The small mill with a payroll, a credit line and a lease on offer."""
    texts, account = small_mill(), "keep_above = 8000.00"
    more = f"{account}\npayroll = 6000.00\ncredit_limit = 20000.00\ncredit_rate = 0.11"
    lease = (
        '\n[[plan]]\nid = "lease"\nkind = "lease"\ndeposit = 0.1\nmonthly = 1500.0\n'
        "months = 60\nbuyout = 5000.0\n"
    )
    texts["paying.toml"] = texts["paying.toml"].replace(account, more) + lease
    return texts


def test_the_bookkeeper_looks_at_what_a_lender_wants_to_see() -> None:
    texts = banked()
    draft = draft_of(texts)
    test = AppTest.from_function(bookkeeper_page, default_timeout=PATIENCE)
    test.session_state["optioneer"] = Session(draft=draft)
    test.session_state[f"package-{draft.id}"] = "bare"
    test.run()
    assert "Lease or purchase? Your accountant decides" in texts_of(test)
    test.segmented_control(key="lender").set_value(LENDER).run()
    seen = texts_of(settled(test))
    for title in ("Cover of what is due, by year", "Months of payroll in hand", "secures it"):
        assert title in seen
    case = with_first_chips(reading_of("small-mill", texts).case)
    _, told = asked_account(AccountRequest(case, package="bare"))
    answer = ways_called(told.answer, way_names(case))
    before = len(test.get("vega_lite_chart"))
    test.segmented_control(key="lender").set_value(ACCOUNT).run()
    seen = texts_of(test).replace("\\", "")
    first = next(one for one in account_parts(answer, Figures("EUR")) if isinstance(one, Paragraph))
    assert first.text in seen
    assert len(test.get("vega_lite_chart")) == before + len(answer.plans)
    for plan in answer.plans:
        assert f"Balance at the end of the month under '{plan.id}'" in html.unescape(seen)
    assert not test.exception


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("25 %", "0.25"),
        ("25", "0.25"),
        ("0,25", "0.25"),
        ("0.25", "0.25"),
        ("a third", "0.333333"),
        ("Two  thirds", "0.666667"),
        ("12.5 percent", "0.125"),
        ("1", "1"),
        ("", ""),
        ("many", "many"),
    ],
)
def test_shares_are_read_as_people_write_them(typed: str, read: str) -> None:
    assert share_typed(typed) == read


@pytest.mark.parametrize("typed", ["", "much", "4.200"])
def test_an_amount_that_is_none_or_two_is_refused(typed: str) -> None:
    with pytest.raises(RequestError):
        amount_typed(typed)
