"""A case from a list: whole, checked, every figure with its source, work only for what is there."""

from datetime import date
from functools import cache
from pathlib import Path

import pytest

from optioneer.errors import RequestError
from optioneer.files.case.demos import demo_folders
from optioneer.files.case.read import reading_of
from optioneer.files.case.write import case_texts
from optioneer.files.quote.first_list import listing
from optioneer.model.case import Case
from optioneer.model.checks.consistency import checked
from optioneer.model.sources import origins
from optioneer.study.start.list_lines import Listing
from optioneer.study.start.new_case import EVERYDAY, Wishes, new_case

DAY = date(2027, 1, 15)
LISTS = Path(__file__).parents[2] / "files/quote/lists"
FILES = {
    "demo": (demo_folders()[0].parent / "dealer-list.csv", "lathe", "EUR"),
    "lathe": (LISTS / "lathe.csv", "lathe", "EUR"),
    "five-axis-mill": (LISTS / "five-axis-mill.csv", "mill", "CHF"),
    "used-mill": (LISTS / "used-mill.csv", "mill", "USD"),
}


@cache
def read(name: str) -> Listing:
    file = FILES[name][0]
    return listing(file.read_bytes(), file.name).marked()


def made(name: str, **more: object) -> Case:
    _, machine, currency = FILES[name]
    wishes = Wishes(**{"machine": machine, "currency": currency, "quoted": DAY} | more)  # type: ignore[arg-type]
    return new_case(name, read(name), wishes)


@pytest.mark.parametrize("name", FILES)
def test_it_can_be_checked_and_written_at_once(name: str) -> None:
    case = checked(made(name))
    assert reading_of(name, case_texts(case, {})).case == case


@pytest.mark.parametrize("name", FILES)
def test_every_figure_says_where_it_is_from(name: str) -> None:
    found = origins(made(name))
    assert set(found.values()) == {"quoted", "usual", "computed"}
    assert found["machine/base_price"] == "quoted"
    assert found[f"stream/{EVERYDAY}/margin"] == "computed"
    prices = {key for key in found if key.startswith("option/") and key.endswith("/price")}
    assert {found[key] for key in prices} == {"quoted"}


def test_what_comes_with_the_machine_is_in_its_price() -> None:
    case = made("demo")
    assert case.machine.base_price == 94800.0 + 1950.0 + 2300.0
    assert not any("freight" in option.name.lower() for option in case.catalogue.options)


def test_rivals_share_a_slot_and_what_is_included_is_standard() -> None:
    case = made("five-axis-mill")
    slots = {slot.name: slot for slot in case.catalogue.slots}
    assert len(slots["magazine"].options) == 3
    assert slots["magazine"].standard is not None
    assert slots["magazine"].standard.price == 0.0


def test_what_a_kind_needs_is_required_where_one_option_is_it() -> None:
    known = made("demo").catalogue.by_id
    assert known["short-bar-feeder-1-5-m"].requires == ("bar-feeder-interface",)
    assert known["y-axis-40-mm"].requires == ("driven-tools-12-stations",)


def test_work_is_proposed_for_what_is_there_and_for_nothing_else() -> None:
    streams = {stream.id: stream for stream in made("used-mill").growth.stream}
    assert {"many-sided", "deep-holes", "set-up-time", EVERYDAY} <= set(streams)
    assert not {"bar-parts", "two-sided", "free-shapes", "chips"} & set(streams)
    known = made("used-mill").catalogue.by_id
    for stream in streams.values():
        assert all(option in known for way in stream.way for option in way.options)


def test_options_of_one_kind_that_are_no_rivals_have_work_of_their_own() -> None:
    streams = [s for s in made("used-mill").growth.stream if s.id.startswith("worn-parts-")]
    assert len(streams) == 3
    assert len({stream.way for stream in streams}) == 3


def test_work_that_is_never_done_is_struck() -> None:
    case = made("demo", never=("two-sided", "bar-parts"))
    assert not {"two-sided", "bar-parts"} & {stream.id for stream in case.growth.stream}


def test_what_is_wanted_whatever_it_costs_is_marked() -> None:
    rows = {line.text: line.row for line in read("demo").lines}
    case = made("demo", must=(rows["Automatic door"],))
    assert [option.name for option in case.catalogue.options if option.must] == ["Automatic door"]
    checked(case)


def test_what_something_wanted_cannot_do_without_is_wanted_too() -> None:
    rows = {line.text: line.row for line in read("demo").lines}
    case = checked(made("demo", must=(rows["Parts conveyor"],)))
    wanted = {option.name for option in case.catalogue.options if option.must}
    assert wanted == {"Parts conveyor", "Parts catcher"}


def test_a_told_day_is_told_and_the_everyday_work_follows_it() -> None:
    case = made("demo", margin_per_day=1000.0)
    assert origins(case)["machine/margin_per_day"] == "told"
    everyday = next(stream for stream in case.growth.stream if stream.id == EVERYDAY)
    assert everyday.margin.likely == 190e3


def test_an_option_that_nobody_placed_asks_for_no_work_and_says_so() -> None:
    case = made("demo")
    (unplaced,) = (one for one in case.catalogue.options if one.kind == "to-be-asked")
    assert unplaced.name == "Customer request as discussed"
    assert "To be asked" in unplaced.note
    assert not any(stream.uses([unplaced.option]) for stream in case.growth.stream)


def test_a_list_without_a_machine_is_refused() -> None:
    bare = read("demo")
    lines = tuple(line for line in bare.lines if line.role != "machine")
    with pytest.raises(RequestError, match="which line is the machine"):
        new_case(
            "x",
            bare.model_copy(update={"lines": lines}),
            Wishes(machine="lathe", currency="EUR", quoted=DAY),
        )
