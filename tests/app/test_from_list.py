"""The first page takes a dealer's list and makes a case of it; no text file is opened."""

from dataclasses import dataclass
from datetime import date

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from optioneer.app.parts.start.ways_to_begin import parts_of, priced_list
from optioneer.files.case.demos import demo_folders
from optioneer.files.case.read import reading_of
from optioneer.files.quote.first_list import listing
from optioneer.model.kinds.usual import usual_kinds
from tests.app.visits import current, texts_of, visit

LIST = demo_folders()[0].parent / "dealer-list.csv"


@dataclass
class Given:
    """What a visitor drops."""

    name: str
    data: bytes

    def getvalue(self) -> bytes:
        """Its bytes."""
        return self.data


def page() -> None:
    """The part of the first page that takes a list."""
    from optioneer.app.parts.start import from_list  # noqa: PLC0415 - the page runs by itself

    from_list.draw()


def dropped(monkeypatch: pytest.MonkeyPatch, given: Given) -> AppTest:
    monkeypatch.setattr(st, "file_uploader", lambda *_, **__: given)
    return visit(page, None)


def test_a_list_becomes_a_case_that_is_open(monkeypatch: pytest.MonkeyPatch) -> None:
    test = dropped(monkeypatch, Given(LIST.name, LIST.read_bytes()))
    test.selectbox(key="list-kind-28").set_value("window").run()
    test.checkbox(key="list-off-34").set_value(True).run()
    test.multiselect(key="list-never").set_value(["two-sided"]).run()
    test.button(key="list-make").click().run()
    case = reading_of("made", current(test).texts).case
    assert case.machine.base_price == 94800.0 + 1950.0 + 2300.0 - 4000.0
    assert "window" in {option.kind for option in case.catalogue.options}
    assert "two-sided" not in {stream.id for stream in case.growth.stream}


def test_what_is_not_answered_stays_marked(monkeypatch: pytest.MonkeyPatch) -> None:
    test = dropped(monkeypatch, Given(LIST.name, LIST.read_bytes()))
    test.button(key="list-make").click().run()
    case = reading_of("made", current(test).texts).case
    assert "to-be-asked" in {option.kind for option in case.catalogue.options}
    assert case.machine.base_price == 94800.0 + 1950.0 + 2300.0


def test_two_columns_of_prices_are_asked_about(monkeypatch: pytest.MonkeyPatch) -> None:
    text = b"Description;List price;Your price\nLathe;90000;88000\nSub-spindle;5000;4700\n"
    test = dropped(monkeypatch, Given("quote.csv", text))
    test.selectbox(key="list-column").set_value("Your price").run()
    test.text_input(key="list-currency").set_value("EUR").run()
    test.button(key="list-make").click().run()
    assert reading_of("made", current(test).texts).case.machine.base_price == 88000.0


def test_without_a_currency_no_case_is_made(monkeypatch: pytest.MonkeyPatch) -> None:
    test = dropped(monkeypatch, Given("quote.csv", b"Name;Price\nLathe;90000\nSub-spindle;5000\n"))
    assert not [button for button in test.button if button.key == "list-make"]


def test_what_is_typed_becomes_a_case() -> None:
    test = visit(page, None)
    test.segmented_control(key="begin").set_value("Type names and prices").run()
    assert not [button for button in test.button if button.key == "list-make"]
    text = "Lathe 42; 118.000,00 EUR\n\nSub-spindle; 14.500,00 EUR\nAutomatic door; included\n"
    test.text_area(key="list-typed").set_value(text).run()
    test.date_input(key="list-order").set_value(date(2027, 5, 3)).run()
    test.text_input(key="list-day").set_value("640").run()
    test.button(key="list-make").click().run()
    case = reading_of("made", current(test).texts).case
    assert (case.machine.base_price, case.machine.margin_per_day) == (118e3, 640.0)
    assert case.dates.order == date(2027, 5, 3)
    assert [option.kind for option in case.catalogue.options] == ["sub-spindle", "auto-door"]
    assert current(test).name == "Lathe 42"
    told = {one.key for one in case.sources or () if one.source == "told"}
    assert "machine/margin_per_day" in told


@pytest.mark.parametrize("kind", list(usual_kinds().machines))
def test_all_that_a_kind_of_machine_may_have_is_known_by_its_name(kind: str) -> None:
    rows = [
        (name, str(90e3 if place == 0 else 1e3 + place))
        for place, (name, _) in enumerate(parts_of(kind))
    ]
    told = priced_list([*rows, ("Sub-spindle", "")])
    assert told is not None
    found = listing(told[1], told[0])
    assert (found.machine, found.open) == (kind, ())
    assert len(found.of("option")) == len(rows) - 1


def test_a_line_that_is_left_out_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    test = dropped(monkeypatch, Given(LIST.name, LIST.read_bytes()))
    assert "of its lines are asked about below. Left out: " in texts_of(test)


def test_what_is_no_list_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    test = dropped(monkeypatch, Given("x.csv", b"\x00\x01"))
    assert "This list cannot be read." in texts_of(test)
